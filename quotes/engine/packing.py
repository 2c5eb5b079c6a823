"""Packing of many equal things into the fewest loads: exact, for a handful of kinds.

Masses are whole grams, so that a load that fits to the gram is not refused by a float.
"""

import math
from collections.abc import Iterator

_NODES = 200_000  # steps of the search before it settles for the greedy answer


def pack(
    masses: list[int], counts: list[int], limit: int
) -> tuple[tuple[tuple[int, ...], ...], bool]:
    """The fewest loads for counts of kinds with these masses (g), none over the limit (g).

    Returns the loads, each a tuple of counts by kind, and whether fewer are impossible. The
    caller sees to it that no single mass is over the limit.
    """
    if not any(counts):
        return (), True
    unit = math.gcd(*masses)
    masses, limit = [mass // unit for mass in masses], limit // unit
    order = sorted(range(len(masses)), key=lambda kind: -masses[kind])
    heavy_first = [masses[kind] for kind in order]
    left = tuple(counts[kind] for kind in order)
    greedy = _heaviest_first(heavy_first, left, limit)
    search = _Search(heavy_first, limit)
    best, proven = greedy, True
    for loads in range(_least(heavy_first, left, limit), len(greedy)):
        found = search.fill(left, loads)
        if found is not None:
            best = found
            break
        if search.steps > _NODES:
            proven = False
            break
    places = [order.index(kind) for kind in range(len(masses))]
    return tuple(tuple(load[place] for place in places) for load in best), proven


def _heaviest_first(
    masses: list[int], counts: tuple[int, ...], limit: int
) -> list[tuple[int, ...]]:
    left = list(counts)
    loads = []
    while any(left):
        room, load = limit, []
        for kind, mass in enumerate(masses):
            taken = min(left[kind], room // mass)
            left[kind] -= taken
            room -= taken * mass
            load.append(taken)
        loads.append(tuple(load))
    return loads


def _least(masses: list[int], counts: tuple[int, ...], limit: int) -> int:
    """A lower bound: total mass over the fullest load that any choice of the things can make."""
    reachable = 1  # bit g is set when g grams can be made up
    for mass, count in zip(masses, counts, strict=True):
        step = 1
        remaining = count
        while remaining:
            taken = min(step, remaining)
            reachable |= reachable << (mass * taken)
            reachable &= (1 << (limit + 1)) - 1
            remaining -= taken
            step *= 2
    fullest = reachable.bit_length() - 1
    total = sum(mass * count for mass, count in zip(masses, counts, strict=True))
    return -(-total // fullest)


class _Search:
    """Fills loads one after the other with choices to which nothing can be added."""

    def __init__(self, masses: list[int], limit: int) -> None:
        self.masses = masses
        self.limit = limit
        self.steps = 0
        self.dead: set[tuple[tuple[int, ...], int]] = set()

    def fill(self, left: tuple[int, ...], loads: int) -> list[tuple[int, ...]] | None:
        """Loads for what is left, in at most so many, or None.

        The heaviest thing left must go somewhere, so the next load may as well take one; and a
        load to which something can be added never beats the one with it added.
        """
        if not any(left):
            return []
        need = sum(mass * count for mass, count in zip(self.masses, left, strict=True))
        if need > loads * self.limit or (left, loads) in self.dead:
            return None
        heaviest = next(kind for kind, count in enumerate(left) if count)
        for load in self._choices(left, 0, self.limit):
            if not load[heaviest] or self._has_room(left, load):
                continue
            self.steps += 1
            if self.steps > _NODES:
                return None
            rest = tuple(count - taken for count, taken in zip(left, load, strict=True))
            found = self.fill(rest, loads - 1)
            if found is not None:
                return [load, *found]
        self.dead.add((left, loads))
        return None

    def _has_room(self, left: tuple[int, ...], load: tuple[int, ...]) -> bool:
        room = self.limit - sum(m * n for m, n in zip(self.masses, load, strict=True))
        pairs = zip(self.masses, left, load, strict=True)
        return any(taken < count and mass <= room for mass, count, taken in pairs)

    def _choices(self, left: tuple[int, ...], kind: int, room: int) -> Iterator[tuple[int, ...]]:
        """Loads, most of the heaviest first; the last kind takes all that still fits."""
        mass = self.masses[kind]
        most = min(left[kind], room // mass)
        if kind == len(left) - 1:
            yield (most,)
            return
        for taken in range(most, -1, -1):
            for rest in self._choices(left, kind + 1, room - taken * mass):
                yield (taken, *rest)
