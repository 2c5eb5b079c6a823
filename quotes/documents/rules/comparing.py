"""Two revisions of a quote side by side, from their sheets alone: what came, went and changed."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from typing import Any

from jobs.kernel.templatetags import firm
from quotes.quoting.enums import LineKind
from quotes.quoting.rules import QuoteSheet, SheetLine

# Below this likeness two lines of the same kind are not one line reworded.
ALIKE = 0.5


@dataclass(frozen=True)
class Version:
    """A revision as it is compared: its sheet, its blends in words, and what drew them up."""

    number: int
    state: str
    sheet: QuoteSheet
    blends: Mapping[str, str]
    engine: str
    # Our own figures, empty for those who may not see cost: label -> amount.
    costs: Mapping[str, Any]


@dataclass(frozen=True)
class Pair:
    """One thing on both sides; None where a side does not have it."""

    label: str
    before: Any
    after: Any

    @property
    def change(self) -> str:
        """What became of it: '', 'added', 'gone' or 'changed'."""
        if self.before == self.after:
            return ""
        if self.before is None:
            return "added"
        return "gone" if self.after is None else "changed"


@dataclass(frozen=True)
class LinePair(Pair):
    """One line on both sides, before and after being its `SheetLine`."""

    @property
    def change(self) -> str:
        """As of a pair; the row's key, which every revision has anew, does not count."""
        if self.before is not None and self.after is not None:
            return "" if _shown(self.before) == _shown(self.after) else "changed"
        return super().change


@dataclass(frozen=True)
class Words:
    """A text on both sides, line by line: what went and what came."""

    label: str
    gone: tuple[str, ...]
    added: tuple[str, ...]


@dataclass(frozen=True)
class Comparison:
    """All that differs or might between two revisions, in the order of the quote."""

    old: Version
    new: Version
    lines: tuple[LinePair, ...]
    options: tuple[LinePair, ...]
    sums: tuple[Pair, ...]
    stages: tuple[Pair, ...]
    facts: tuple[Pair, ...]
    areas: tuple[Pair, ...]
    blends: tuple[Pair, ...]
    words: tuple[Words, ...]
    costs: tuple[Pair, ...]

    @property
    def is_same(self) -> bool:
        """Whether nothing that the customer reads differs but the number."""
        pairs = (
            *self.lines, *self.options, *self.sums, *self.stages, *self.facts, *self.areas,
            *self.blends,
        )  # fmt: skip
        return not self.words and all(not pair.change for pair in pairs)


def compare(old: Version, new: Version) -> Comparison:
    """Return how `new` differs from `old`."""
    a, b = old.sheet, new.sheet
    return Comparison(
        old=old,
        new=new,
        lines=tuple(pair_lines(a.lines, b.lines)),
        options=tuple(pair_lines(a.options, b.options)),
        sums=tuple(_pairs(_sums(a), _sums(b))),
        stages=tuple(_pairs(_stages(a), _stages(b))),
        facts=tuple(_pairs(_facts(old), _facts(new))),
        areas=tuple(_pairs(_areas(a), _areas(b))),
        blends=tuple(_pairs(old.blends, new.blends)),
        words=tuple(_words(a, b)),
        costs=tuple(_pairs(old.costs, new.costs)),
    )


def pair_lines(old: Sequence[SheetLine], new: Sequence[SheetLine]) -> list[LinePair]:
    """Return the lines of both sides in pairs: same words first, then the most alike of a kind.

    In the order of the new side; what went follows. Every line is in one pair.
    """
    left = list(old)
    found: dict[int, SheetLine | None] = {}

    def take(place: int, alike: Callable[[SheetLine], float]) -> None:
        best = max(left, key=alike, default=None)
        if best is not None and alike(best) >= ALIKE:
            left.remove(best)
            found[place] = best

    for place, line in enumerate(new):
        take(place, lambda each, line=line: float(_name(each) == _name(line)))  # type: ignore[misc]
    for place, line in enumerate(new):
        if place not in found:
            take(place, lambda each, line=line: _likeness(each, line))  # type: ignore[misc]
    pairs = [LinePair(line.words, found.get(place), line) for place, line in enumerate(new)]
    return pairs + [LinePair(line.words, line, None) for line in left]


def _name(line: SheetLine) -> tuple[str, str, str]:
    return line.kind, line.unit, line.words


def _likeness(one: SheetLine, other: SheetLine) -> float:
    if (one.kind, one.unit) != (other.kind, other.unit):
        return 0.0
    likeness = SequenceMatcher(None, one.words, other.words, autojunk=False).ratio()
    # There is one surfacing line for each colour: reworded, it is still the surfacing.
    return max(likeness, ALIKE) if one.kind == LineKind.SURFACE else likeness


def _shown(line: SheetLine) -> tuple[Any, ...]:
    return line.words, line.quantity, line.unit, line.net, line.gross, line.kind, line.caution


def _sums(sheet: QuoteSheet) -> dict[str, Any]:
    return {
        "price before VAT": sheet.net, "VAT": sheet.vat, "price with VAT": sheet.gross,
        "deposit": sheet.deposit,
    }  # fmt: skip


def _stages(sheet: QuoteSheet) -> dict[str, str]:
    """Return the stages by their words; a plan has each of them once."""
    return {
        stage.words: f"{stage.share}: {firm.money(stage.gross)} with VAT" for stage in sheet.stages
    }


def _facts(version: Version) -> dict[str, str]:
    sheet = version.sheet
    return {
        "for": sheet.title,
        "customer": ", ".join([sheet.customer, *sheet.customer_address.splitlines()]),
        "site": ", ".join(sheet.site.splitlines()),
        "sample": sheet.sample or firm.DASH,
        "prices of": firm.day_year(sheet.day),
        "holds until": firm.day_year(sheet.valid_until),
        "VAT": sheet.vat_words,
        "deposit": firm.percent(sheet.deposit_percent),
        "their order number": sheet.order_number or firm.DASH,
        "reckoned by engine": version.engine,
    }


def _areas(sheet: QuoteSheet) -> dict[str, str]:
    return {
        area.name: f"{firm.square_metres(area.area_m2)}, {firm.mm(area.depth_mm)}"
        for area in sheet.areas
    }


def _pairs(old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterable[Pair]:
    labels = dict.fromkeys([*old, *new])
    return (Pair(label, old.get(label), new.get(label)) for label in labels)


def _words(a: QuoteSheet, b: QuoteSheet) -> Iterable[Words]:
    texts = (
        ("to the customer", a.message, b.message),
        ("please note", "\n".join(a.cautions), "\n".join(b.cautions)),
        ("not in the price", a.exclusions, b.exclusions),
        ("terms", a.terms, b.terms),
    )
    for label, before, after in texts:
        gone, added = _changed_lines(before.splitlines(), after.splitlines())
        if gone or added:
            yield Words(label, tuple(gone), tuple(added))


def _changed_lines(before: list[str], after: list[str]) -> tuple[list[str], list[str]]:
    gone: list[str] = []
    added: list[str] = []
    matcher = SequenceMatcher(None, before, after, autojunk=False)
    for what, a1, a2, b1, b2 in matcher.get_opcodes():
        if what != "equal":
            gone += before[a1:a2]
            added += after[b1:b2]
    return gone, added


def blends_in_words(document: Mapping[str, Any]) -> dict[str, str]:
    """Return each blend of an engine's document as people read it, by colour group."""
    blends = document.get("blends") or {"": document["blend"]} if document.get("areas") else {}
    return {name: _blend(blend) for name, blend in blends.items()}


def _blend(blend: Mapping[str, Any]) -> str:
    kit = blend["kit"]
    stones = ", ".join(
        f"{firm.figure(each['bags'])} × {_mass(each['bag'])} {each['name']}"
        for each in blend["components"]
    )
    light = "" if kit.get("uv_stable", False) else ", changes its colour outdoors"
    return f"kit of {_mass(kit['part_a'])} and {_mass(kit['part_b'])}{light}; {stones}"


def _mass(text: str) -> str:
    """Return '4800 g' of a document as people read it, '4.8 kg'; another unit as it stands."""
    figure, _, unit = text.partition(" ")
    return firm.base_quantity(figure, unit) if unit == "g" else text
