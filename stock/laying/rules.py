"""Reckoning of the lay day without rows: readings, times, what a mix takes, what comes back."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from decimal import ROUND_HALF_UP, Decimal

from quotes.engine import moisture, timing
from quotes.engine.cards import Kit
from quotes.engine.cautions import Caution, caution, gathered
from quotes.engine.cautions_site import gate_cautions
from quotes.engine.moisture import SurfaceGate
from quotes.engine.takeoff_cautions import HEAVY_BAG_KG
from quotes.engine.timing import Timing
from quotes.engine.workings import figure

# More than a bay between two joints has (common practice, no source).
MOST_M2 = Decimal(1000)


# -- the base and the air --------------------------------------------------------------------


@dataclass(frozen=True)
class Readings:
    """What was read on the spot: degrees and per cent, one decimal."""

    air_c: Decimal
    surface_c: Decimal
    humidity_percent: Decimal


@dataclass(frozen=True)
class BaseVerdict:
    """What the engine says of the readings: dew point and margin in °C, and what speaks against."""

    dew_c: float
    margin_c: float
    findings: tuple[Caution, ...]

    @property
    def passes(self) -> bool:
        """Whether nothing speaks against laying."""
        return not self.findings


def judge_base(readings: Readings, kits: Iterable[Kit]) -> BaseVerdict:
    """Return what the readings mean: 3 °C above the dew point, humidity, each kit's limits.

    A margin of exactly 3 °C passes, a humidity of exactly 85 % does not; the limits of a kit count
    as within. Raises EngineError for readings that no thermometer gives.
    """
    air, surface = float(readings.air_c), float(readings.surface_c)
    humidity = float(readings.humidity_percent)
    # That the base has been dry for long enough is for whoever stands on it to say.
    gate = moisture.surface_gate(air, humidity, surface, moisture.BASE_DRY_HOURS * 3600)
    said = list(against(gate, humidity))
    for kit in kits:
        times = timing.times(kit, air, surface)
        if times.working_minutes is None:
            said.append(outside_limits(times))
    return BaseVerdict(gate.dew_degc, gate.margin_degc, gathered(said))


def against(gate: SurfaceGate, humidity: float) -> tuple[Caution, ...]:
    """Return the gate's cautions, with a margin and a least surface that never read as enough."""
    limits = (moisture.SURFACE_MARGIN, moisture.HUMIDITY_LIMIT)
    said = gate_cautions(gate, humidity, limits)
    if gate.warm_enough:
        return said
    least = math.ceil(round(gate.least_surface_degc * 10, 6)) / 10
    honest = caution(
        "surface_near_dew", margin=shown_margin(gate.margin_degc), needed=f"{limits[0]:g}",
        least=f"{least:.1f}",
    )  # fmt: skip
    return tuple(honest if each.code == honest.code else each for each in said)


def outside_limits(times: Timing) -> Caution:
    """Return the caution of a temperature at which the kit must not be laid."""
    at = dict.fromkeys((figure(times.cool, "", 1), figure(times.warm, "", 1)))
    return caution(
        "temperature_limits", at=" to ".join(at), low=f"{times.low:g}", high=f"{times.high:g}"
    )


def shown_margin(margin_c: float) -> str:
    """Write the margin over the dew point so that it never reads better than it is.

    2.96 °C is written 2.9, since 3.0 beside a refusal would read as an error.
    """
    below = margin_c < moisture.SURFACE_MARGIN - moisture.SLACK
    tenths = math.floor(margin_c * 10) if below else round(margin_c * 10)
    return f"{tenths / 10:.1f}".replace("-", "\N{MINUS SIGN}")


# -- times -----------------------------------------------------------------------------------


def after(start: datetime, seconds: float) -> datetime:
    """Return the instant so many seconds later: real time, also over a clock change."""
    stamp = datetime.fromtimestamp(start.timestamp() + seconds, UTC)
    return stamp.astimezone(start.tzinfo)


def last_mix_by(dry_until: datetime, times: Timing) -> datetime | None:
    """Return the last moment to start a mix whose film is rain- and dew-safe by `dry_until`.

    The film's age counts from the finished surface; a mix takes its whole working time to place.
    Cautious and common practice, no source; the data sheet comes first.
    """
    if times.rain_safe_hours is None or times.working_minutes is None:
        return None
    return after(dry_until, -(times.rain_safe_hours * 3600 + times.working_minutes * 60))


def safe_from(started: datetime, times: Timing) -> datetime | None:
    """Return from when the film of a mix started then stands rain and dew."""
    if times.rain_safe_hours is None or times.working_minutes is None:
        return None
    return after(started, times.rain_safe_hours * 3600 + times.working_minutes * 60)


# -- what a mix takes --------------------------------------------------------------------------


@dataclass(frozen=True)
class Wanted:
    """So many base units of an item for a mix; `stand_ins` are the items that may replace it."""

    item_id: int
    quantity: int
    stand_ins: tuple[int, ...] = ()


@dataclass(frozen=True)
class SiteLot:
    """What lies at the site of one lot."""

    lot_id: int
    item_id: int
    quantity: int
    expiry: date | None = None
    received_on: date | None = None
    held: bool = False


@dataclass(frozen=True)
class Drawn:
    """What a mix takes of which lots, and what is missing of which items."""

    parts: tuple[tuple[int, int], ...] = ()
    missing: Mapping[int, int] = field(default_factory=dict)


def whole_units(bags: Decimal, pack_quantity: int) -> int:
    """Return bags (or parts of one) in whole base units, half up."""
    return int((bags * pack_quantity).quantize(Decimal(1), ROUND_HALF_UP))


def in_order_of_use(lots: Iterable[SiteLot]) -> list[SiteLot]:
    """Return lots as they are used: released before held, first expired first, then as they came.

    What has no date comes after what has one.
    """
    return sorted(
        lots,
        key=lambda lot: (
            lot.held, lot.expiry or date.max, lot.received_on or date.max, lot.lot_id,
        ),
    )  # fmt: skip


def draw_lots(wanted: Sequence[Wanted], lots: Iterable[SiteLot]) -> Drawn:
    """Return which lots a mix is made of; all of it or, with what is missing, nothing.

    Each item comes first from its own lots; only then, in their order, from its stand-ins, and of
    these only what the mix does not want for itself.
    """
    there: dict[int, list[SiteLot]] = {}
    for lot in in_order_of_use(lots):
        there.setdefault(lot.item_id, []).append(lot)
    taken: dict[int, int] = {}

    def take(item_id: int, quantity: int) -> int:
        """Take so much of an item's lots as is there; return what is still missing."""
        for lot in there.get(item_id, []):
            part = min(quantity, lot.quantity - taken.get(lot.lot_id, 0))
            if part > 0:
                taken[lot.lot_id] = taken.get(lot.lot_id, 0) + part
                quantity -= part
        return quantity

    short = [(need, take(need.item_id, need.quantity)) for need in wanted]
    missing: dict[int, int] = {}
    for need, wanting in short:
        left = wanting
        for stand_in in need.stand_ins:
            left = take(stand_in, left)
        if left > 0:
            missing[need.item_id] = missing.get(need.item_id, 0) + left
    return Drawn(() if missing else tuple(sorted(taken.items())), missing)


def fitting(
    cards: Mapping[int, tuple[int, frozenset[int]]], needs: Iterable[tuple[int, str]], group: str
) -> list[int]:
    """Return the blends that a colour group's requirements can be mixed to, in their order.

    `cards` gives for each blend its kit and its components; `needs` are (item, colour group) of
    the job; kits and fillers have no group and serve every one. Without a group all items count.
    """
    items = {item for item, of in needs if not of or not group or of == group}
    return [pk for pk, (kit, parts) in cards.items() if kit in items and parts <= items]


# -- bays --------------------------------------------------------------------------------------


def next_bay_name(names: Iterable[str]) -> str:
    """Return the first letter that no bay has; after Z 'AA', 'AB'."""
    taken = {name.strip().upper() for name in names}
    letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
    for head in ("", *letters):
        for letter in letters:
            if f"{head}{letter}" not in taken:
                return f"{head}{letter}"
    return ""


def kg_per_m2(laid_g: int, area_m2: Decimal | None) -> Decimal | None:
    """Return the mass laid on a square metre in kg, one decimal; None while not measured."""
    if not area_m2 or not laid_g:
        return None
    return (Decimal(laid_g) / 1000 / area_m2).quantize(Decimal("0.1"), ROUND_HALF_UP)


# -- the evening -------------------------------------------------------------------------------


@dataclass(frozen=True)
class EveningRow:
    """What became of a lot that lay at the site, in base units.

    `back` unopened packs, `opened` the rest of an opened bag (it comes back held), `waste` with its
    `reason`, `used` for what no mix logs (primer, edging), `stays` for tomorrow.
    """

    lot_id: int
    back: int = 0
    opened: int = 0
    waste: int = 0
    used: int = 0
    stays: int = 0
    reason: str = ""

    @property
    def accounted(self) -> int:
        """What of it is explained."""
        return self.back + self.opened + self.waste + self.used + self.stays


def unexplained(left: int, row: EveningRow) -> int:
    """Return what the book has left and the evening does not explain; below 0 it gives too much."""
    return left - row.accounted


def is_heavy(pack_mass_g: int) -> bool:
    """Return whether a pack is one to lift with care."""
    return pack_mass_g / 1000 > HEAVY_BAG_KG
