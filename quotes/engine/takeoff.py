"""The take-off: from measured areas and blend cards to mixes, kits, bags and what is left over.

Exact mass = area × (depth + what the base's texture swallows) × density × (1 + waste/100), before
any rounding. Mixes are shared inside one lay session and whole per session, unless part mixes are
chosen. Masses in kg, lengths in m, areas in m².
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from quotes.engine.cards import Blend
from quotes.engine.errors import ModelError
from quotes.engine.request import AreaRequest, Request
from quotes.engine.risk import CommonErrors, Job, SessionDemand
from quotes.engine.rounding import settled, whole_up
from quotes.engine.units import Q_, Quantity

MOST_MIXES = 1_000_000


@dataclass(frozen=True, slots=True)
class AreaTakeOff:
    """One area: yield with texture and without waste, mixes with waste, before rounding."""

    request: AreaRequest
    yield_m2_per_mix: float
    mixes_exact: float
    mass_exact_kg: float


@dataclass(frozen=True, slots=True)
class SessionTakeOff:
    """One lay session: mixes whole, or exact with part mixes; kits always whole."""

    name: str | None
    blend: str | None
    areas: tuple[AreaTakeOff, ...]
    area_m2: float
    mixes_exact: float
    mixes: float
    kits: int


@dataclass(frozen=True, slots=True)
class ComponentTakeOff:
    """Bags bought of one aggregate or filler, what is mixed of it, and what is left."""

    name: str
    bag_kg: float
    bags: int
    kg: float
    leftover_kg: float


@dataclass(frozen=True)
class TakeOff:
    """A whole take-off. resin_kg, aggregate_kg and mass_kg are what goes into `mixes`."""

    request: Request
    areas: tuple[AreaTakeOff, ...]
    sessions: tuple[SessionTakeOff, ...]
    components: tuple[ComponentTakeOff, ...]
    area_m2: float
    mixes_exact: float
    mixes: float
    kits: int
    resin_kg: float
    aggregate_kg: float

    @property
    def mass_kg(self) -> float:
        """Everything that is mixed."""
        return self.resin_kg + self.aggregate_kg

    @property
    def mass(self) -> Quantity:
        """The mass as a quantity."""
        return Q_(self.mass_kg, "kg")

    @property
    def opened_resin_kg(self) -> float:
        """Resin of opened kits that no mix takes; an opened kit never returns."""
        bought = math.fsum(
            s.kits * self.request.blends[s.blend].kit.resin_kg for s in self.sessions
        )
        return max(0.0, bought - self.resin_kg)

    @cached_property
    def job(self) -> Job:
        """The sessions with their errors, for the chance of running short."""
        unsure = self.request.uncertainty
        common = CommonErrors(math.hypot(unsure.depth_m, unsure.texture_m), unsure.density)
        demands = [
            SessionDemand(
                tuple(
                    (a.request.measure.area_m2, a.request.layer_m, self._own_error(a.request))
                    for a in session.areas
                ),
                self.request.blends[session.blend].compacted_density,
                session.mixes_exact,
                session.mixes,
            )
            for session in self.sessions
        ]
        return Job(demands, common)

    def _own_error(self, area: AreaRequest) -> float:
        unsure = self.request.uncertainty
        if unsure.tape_m is not None:
            return unsure.tape_m * math.sqrt(area.measure.sensitivity2)
        return area.measure.area_m2 * unsure.area_percent / 100


def take_off(request: Request) -> TakeOff:
    """Work out a take-off. Raises ModelError when it comes to more than a million mixes."""
    waste = 1 + request.waste_percent / 100
    areas = tuple(_area(each, request.blends[each.blend], waste) for each in request.areas)
    sessions = tuple(_sessions(areas, part_mixes=request.part_mixes))
    mixes = math.fsum(session.mixes for session in sessions)
    if mixes > MOST_MIXES:
        raise ModelError(
            "out_of_range",
            "areas",
            f"this comes to {mixes:.3g} mixes, more than any job takes ({MOST_MIXES:g}); check the "
            "units of areas, depths and bags",
        )
    per_blend: dict[str | None, list[float]] = {}
    for session in sessions:
        per_blend.setdefault(session.blend, []).append(session.mixes)
    mixed = {blend: math.fsum(counts) for blend, counts in per_blend.items()}
    blends = request.blends
    return TakeOff(
        request,
        areas,
        sessions,
        tuple(_components(mixed, blends)),
        math.fsum(each.request.measure.area_m2 for each in areas),
        math.fsum(each.mixes_exact for each in areas),
        mixes,
        sum(session.kits for session in sessions),
        math.fsum(count * blends[name].kit.resin_kg for name, count in mixed.items()),
        math.fsum(count * blends[name].aggregate_kg for name, count in mixed.items()),
    )


def _area(request: AreaRequest, blend: Blend, waste: float) -> AreaTakeOff:
    mass = request.measure.area_m2 * request.layer_m * blend.compacted_density * waste
    return AreaTakeOff(
        request,
        blend.yield_m2(request.depth_m, request.texture_m),
        mass / blend.mix_kg,
        mass,
    )


def _sessions(areas: Iterable[AreaTakeOff], *, part_mixes: bool) -> Iterable[SessionTakeOff]:
    """Areas of one blend laid in one go, in the order in which they first appear."""
    grouped: dict[tuple[str | None, str | None], list[AreaTakeOff]] = {}
    for area in areas:
        grouped.setdefault((area.request.blend, area.request.session), []).append(area)
    for (blend, name), members in grouped.items():
        exact = math.fsum(each.mixes_exact for each in members)
        kits = max(1, whole_up(exact))
        yield SessionTakeOff(
            name,
            blend,
            tuple(members),
            math.fsum(each.request.measure.area_m2 for each in members),
            exact,
            settled(exact) if part_mixes else kits,
            kits,
        )


def _components(
    mixed: Mapping[str | None, float], blends: Mapping[str | None, Blend]
) -> Iterable[ComponentTakeOff]:
    """Whole bags, rounded up once over the whole take-off, by name and bag."""
    needed: dict[tuple[str, float], list[float]] = {}
    for name, count in mixed.items():
        for component in blends[name].components:
            key = component.name, component.bag_kg
            needed.setdefault(key, []).append(count * component.bags)
    for (name, bag_kg), counts in needed.items():
        exact = settled(math.fsum(counts))
        bags = whole_up(exact)
        yield ComponentTakeOff(name, bag_kg, bags, exact * bag_kg, (bags - exact) * bag_kg)


def edging_pieces(edging_m: float, piece_m: float, waste_percent: float = 0.0) -> int:
    """Whole pieces of edging for a length to be held, with waste for cutting.

    edging_m as AreaMeasure.edging_m gives it. Raises ModelError for a piece or a length that is
    not more than nought or a waste outside 0 to 100.
    """
    if not (piece_m > 0 and edging_m >= 0 and 0 <= waste_percent <= 100):
        raise ModelError(
            "out_of_range",
            "edging",
            "edging needs a length of nought or more, a piece longer than nought and a waste of "
            "0 to 100 %",
        )
    return whole_up(edging_m * (1 + waste_percent / 100) / piece_m)
