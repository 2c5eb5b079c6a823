"""A survey's take-off as plain values: the engine's document, its answer, what must be bought."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from quotes.engine import cautions as registry
from quotes.engine import takeoff as engine
from quotes.engine.contingency import spare_options
from quotes.engine.document import Worked, answer_worked, work_out
from quotes.engine.errors import EngineError
from quotes.engine.parse import parse_request

HAIR = 1e-9
Document = dict[str, Any]


@dataclass(frozen=True)
class Pack:
    """An item as it is bought: base units in a pack, and what a pack weighs."""

    item_id: int
    name: str
    kind: str
    pack_name: str
    pack_quantity: int
    pack_mass_g: int
    base_unit: str
    run_matched: bool
    packs_per_pallet: int | None = None


@dataclass(frozen=True)
class Card:
    """A blend card with the engine's words for it, and the packs behind its names."""

    blend_id: int
    name: str
    kit: Pack
    components: tuple[tuple[Pack, Decimal], ...]
    document: Document
    uv_stable: bool = True
    mix_seconds: int = 120


@dataclass(frozen=True)
class Settings:
    """What is reckoned with besides the measurements."""

    waste_percent: Decimal = Decimal(5)
    air_c: Decimal = Decimal(15)
    part_mixes: bool = False
    spare_mixes: int = 0


@dataclass(frozen=True)
class Problem:
    """Why there is no answer: a sentence, and where in the document the value stands."""

    message: str
    where: str = ""


@dataclass(frozen=True)
class Need:
    """So much of an item, in its base unit, for one colour group ('' where runs do not matter)."""

    item_id: int
    quantity: int
    colour_group: str
    phase: str = "lay"


@dataclass(frozen=True)
class Purchase:
    """One line of what is to buy: whole packs of an item, spares apart."""

    pack: Pack
    colour_group: str
    packs: int
    spare_packs: int = 0
    # How much of it each colour group takes, in packs and parts of a pack.
    shares: tuple[tuple[str, float], ...] = ()

    @property
    def total_packs(self) -> int:
        """What is taken along in all."""
        return self.packs + self.spare_packs

    @property
    def kg(self) -> Decimal:
        """Mass of all of it."""
        return Decimal(self.total_packs * self.pack.pack_mass_g) / 1000


@dataclass(frozen=True)
class Session:
    """One pour: its colour group, whole mixes and kits, and the spares given to it."""

    name: str
    group: str
    area_m2: float
    mixes_exact: float
    mixes: float
    kits: int
    spares: int = 0


@dataclass(frozen=True)
class TakeOff:
    """A survey's take-off. `answer` is the engine's document, None where `problem` says why.

    `worked` is the same as objects, for the pages that ask the engine more.
    """

    document: Document
    cards: Mapping[str, Card]
    settings: Settings = field(default_factory=Settings)
    answer: Document | None = None
    sessions: tuple[Session, ...] = ()
    edging: Mapping[str, bool] = field(default_factory=dict)
    problem: Problem | None = None
    worked: Worked | None = None

    @property
    def areas(self) -> list[Document]:
        """The engine's areas, [] without an answer."""
        return list(self.answer["areas"]) if self.answer else []

    @property
    def area_m2(self) -> Decimal:
        """All of the surface, in m² with two places."""
        return two_places(self.answer["total"]["area_m2"]) if self.answer else Decimal(0)

    @property
    def edge_unknown(self) -> list[str]:
        """The areas with edging whose edge their measurements do not give."""
        return [
            area["name"] for area in self.areas
            if self.edging.get(area["name"]) and area["edge_m"] is None
        ]  # fmt: skip

    @property
    def edge_m(self) -> Decimal:
        """The open edge with edging, as far as it is known, in m with two places."""
        known = (
            area["edge_m"] for area in self.areas
            if self.edging.get(area["name"]) and area["edge_m"] is not None
        )  # fmt: skip
        return two_places(math.fsum(known))

    @property
    def colour_changes(self) -> list[str]:
        """The areas outdoors whose resin does not keep its colour in daylight."""
        return [
            area["name"] for area in self.document.get("areas", ())
            if area["outdoors"] and not self.cards[area["blend"]].uv_stable
        ]  # fmt: skip


def two_places(value: float) -> Decimal:
    """Return a measured figure with the two places that pages and quotes show."""
    return Decimal(repr(value)).quantize(Decimal("0.01"))


def build_document(
    areas: Iterable[Mapping[str, Any]], cards: Mapping[str, Card], settings: Settings
) -> Document:
    """Return the engine's document; each area names its colour group, which has a card."""
    entries = []
    for area in areas:
        entry = {key: value for key, value in area.items() if key not in {"colour_group", "edging"}}
        entries.append(entry | {"blend": area["colour_group"]})
    return {
        "blends": {name: card.document for name, card in cards.items()},
        "areas": entries,
        "waste_percent": float(settings.waste_percent),
        "air": f"{settings.air_c} degC",
        "part_mixes": settings.part_mixes,
    }


def reckon(
    areas: Sequence[Mapping[str, Any]],
    cards: Mapping[str, Card],
    settings: Settings,
    edging: Mapping[str, bool],
) -> TakeOff:
    """Work out a take-off; what the engine refuses becomes its `problem`."""
    document = build_document(areas, cards, settings)
    try:
        request = parse_request(document)
        worked = work_out(request)
        answer = answer_worked(worked)
        sessions = sessions_of(worked.found, settings.spare_mixes)
    except EngineError as error:
        problem = Problem(error.message, in_words(error.where, areas))
        return TakeOff(document, cards, settings, edging=edging, problem=problem)
    return TakeOff(document, cards, settings, answer, sessions, edging, worked=worked)


def in_words(where: str, areas: Sequence[Mapping[str, Any]]) -> str:
    """Return the place of a refused value with the area's name for its number."""
    for number, area in enumerate(areas):
        where = where.replace(f"areas[{number}]", f"area '{area['name']}'")
    return where


def sessions_of(found: engine.TakeOff, spares: int) -> tuple[Session, ...]:
    """Return the pours with their kits; each spare goes to the pour likeliest to run short."""
    given = spare_options(found.job, min(spares, 200))[-1].by_session
    return tuple(
        Session(
            each.name or "", each.blend or "", each.area_m2, each.mixes_exact, each.mixes,
            each.kits, extra,
        )
        for each, extra in zip(found.sessions, given, strict=True)
    )  # fmt: skip


def purchases_of(take_off: TakeOff) -> tuple[Purchase, ...]:
    """Return what is to buy: kits and fillers over all groups, stone of one run by group.

    Packs are whole, rounded up once: over the whole take-off, or over the colour group where its
    run must match. Spare mixes are counted apart.
    """
    plain: dict[tuple[int, str], dict[str, float]] = {}
    spare: dict[tuple[int, str], float] = {}
    packs: dict[int, Pack] = {}
    for session in take_off.sessions:
        card = take_off.cards[session.group]
        amounts = [(card.kit, float(session.kits), float(session.spares))]
        amounts += [
            (pack, session.mixes * float(bags), session.spares * float(bags))
            for pack, bags in card.components
        ]
        for pack, mixed, extra in amounts:
            key = (pack.item_id, session.group if pack.run_matched else "")
            packs[pack.item_id] = pack
            shares = plain.setdefault(key, {})
            shares[session.group] = shares.get(session.group, 0.0) + mixed
            spare[key] = spare.get(key, 0.0) + extra
    return tuple(
        _purchase(packs[item_id], group, shares, spare[item_id, group])
        for (item_id, group), shares in plain.items()
    )


def _purchase(pack: Pack, group: str, shares: Mapping[str, float], spare: float) -> Purchase:
    mixed = math.fsum(shares.values())
    packs = whole_packs(mixed)
    return Purchase(pack, group, packs, whole_packs(mixed + spare) - packs, tuple(shares.items()))


def whole_packs(amount: float) -> int:
    """Return packs rounded up; a figure within 1e-9 of a whole number is that number."""
    nearest = round(amount)
    return nearest if abs(amount - nearest) <= HAIR * max(1.0, amount) else math.ceil(amount)


def needs_of(take_off: TakeOff) -> list[Need]:
    """Return what the job needs of the yard for laying, spares included, in base units.

    Edging and other stock of work items is added by the quote's lines.
    """
    return [
        Need(
            bought.pack.item_id, bought.total_packs * bought.pack.pack_quantity,
            bought.colour_group,
        )
        for bought in purchases_of(take_off)
        if bought.total_packs
    ]  # fmt: skip


def cautions_for_customer(answer: Mapping[str, Any]) -> list[str]:
    """Return the sentences that the customer sees, in the engine's order."""
    his = {kind.code for kind in registry.registered() if kind.audience == "customer"}
    return [each["message"] for each in answer["cautions"] if each["code"] in his]
