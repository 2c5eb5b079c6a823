"""The day sheet: all that is taken along on paper, and what was logged in the end; plain values."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db.models import Sum

from jobs.sites.models import ANSWERS
from jobs.surveys.queries import measured_survey, sheets_of
from jobs.work.models import Job
from quotes.engine.cautions import Caution, gathered
from quotes.engine.cautions_site import work_cautions
from quotes.engine.vibration import TYPICAL, minutes_shown, time_to
from stock.allocation.models import Requirement, Reservation
from stock.catalogue.enums import ItemKind
from stock.laying.enums import MixState
from stock.laying.models import LayBay, LayDay, Mix
from stock.laying.queries.blends import fitting_blends
from stock.laying.queries.page import BayLine, bay_lines
from stock.laying.queries.stock import evening_balance
from stock.laying.rules import is_heavy
from stock.ledger.models import Lot
from stock.ledger.rules import pack_words

SHEET = "Follow the safety data sheet of the product and the maker's figures; this list reminds."


@dataclass(frozen=True)
class SheetArea:
    """A measured area."""

    name: str
    area_m2: float | None
    depth_mm: Decimal
    pour: str
    colour_group: str


@dataclass(frozen=True)
class SheetBlend:
    """What goes into one mix: '1 kit of …', '4 bags of …'."""

    name: str
    parts: tuple[str, ...]


@dataclass(frozen=True)
class SheetLot:
    """A lot that goes along or is at the site, in packs; what was drawn, laid, back and left."""

    item: str
    code: str
    run: str
    use_by: date | None
    held: str
    drawn: str
    laid: str
    back: str
    waste: str
    left: str


@dataclass(frozen=True)
class SheetMix:
    """A mix that was logged."""

    number: int
    bay: str
    started_at: datetime
    state: str


@dataclass(frozen=True)
class DaySheet:
    """A job's lay day on paper."""

    reference: str
    title: str
    site: str
    address: str
    notes: str
    day: date
    access: tuple[tuple[str, str], ...]
    areas: tuple[SheetArea, ...]
    blends: tuple[SheetBlend, ...]
    planned: int
    logged: int
    spilt: int
    elsewhere: int
    lay_day: LayDay | None
    bays: tuple[BayLine, ...]
    mixes: tuple[SheetMix, ...]
    lots: tuple[SheetLot, ...]
    cautions: tuple[str, ...]

    @property
    def area_m2(self) -> float:
        """The m² of all areas that have a size."""
        return sum(area.area_m2 or 0.0 for area in self.areas)


def day_sheet(job: Job, day: date) -> DaySheet:
    """Return the day sheet of a job: before the day what is planned, after it what was laid."""
    lay_day = LayDay.objects.filter(job=job, day=day).select_related("base_accepted_by").first()
    bays = list(LayBay.objects.for_page(lay_day)) if lay_day else []
    mixes = list(Mix.objects.of_day(lay_day).select_related("bay")) if lay_day else []
    spilt = sum(mix.state == MixState.SPILT for mix in mixes)
    lots = sheet_lots(job.pk)
    return DaySheet(
        reference=job.reference, title=job.title, site=job.site.name, address=address_of(job),
        notes=job.site.notes, day=day, access=access_of(job), areas=areas_of(job),
        blends=blends_of(job), planned=kits_of(job), logged=len(mixes) - spilt, spilt=spilt,
        elsewhere=Mix.objects.of_job_elsewhere(job.pk, day).count(), lay_day=lay_day,
        bays=tuple(bay_lines(bays, mixes, None)),
        mixes=tuple(
            SheetMix(mix.number, mix.bay.name, mix.started_at, mix.get_state_display())
            for mix in mixes
        ),
        lots=lots, cautions=cautions_for(job),
    )  # fmt: skip


def address_of(job: Job) -> str:
    """Return the address on one line, without the site's name where it begins with it."""
    line: str = job.site.one_line
    return line.removeprefix(job.site.name).lstrip(", ")


def access_of(job: Job) -> tuple[tuple[str, str], ...]:
    """Return the questions about the site with their answers, in words."""
    site = job.site
    return tuple(
        (str(site._meta.get_field(name).verbose_name), str(getattr(site, f"get_{name}_display")()))  # type: ignore[union-attr]
        for name in ANSWERS
    )


def areas_of(job: Job) -> tuple[SheetArea, ...]:
    """Return the measured areas: the check-measure's, else the survey's."""
    survey = measured_survey(job.pk)
    return tuple(
        SheetArea(
            sheet.area.name, sheet.size.area_m2, sheet.area.depth_mm, sheet.area.pour_name,
            sheet.area.group_name,
        )
        for sheet in (sheets_of(survey) if survey else [])
    )  # fmt: skip


def blends_of(job: Job) -> tuple[SheetBlend, ...]:
    """Return what goes into one mix of each blend of the job."""
    return tuple(
        SheetBlend(
            card.name,
            (
                f"1 kit of {card.kit}",
                *(
                    f"{pack_words(int(row.bags * 100), 100, row.item.pack_name)} of {row.item}"
                    for row in card.components.all()
                ),
            ),
        )
        for card in fitting_blends(job.pk)
    )


def kits_of(job: Job) -> int:
    """Return the kits that the job requires: its mixes, spares included."""
    needs = Requirement.objects.filter(job=job, phase="lay", item__kind=ItemKind.KIT)
    return int(needs.aggregate(kits=Sum("quantity"))["kits"] or 0)


def sheet_lots(job_id: int) -> tuple[SheetLot, ...]:
    """Return the lots that came to the site with what became of them, then what is reserved."""
    lines = [
        lot_line(row.lot, row.drawn, row.logged, row.back, row.waste + row.counted, row.left)
        for row in evening_balance(job_id)
        if row.drawn
    ]
    kept = Reservation.objects.of_job(job_id).order_by("lot__item__kind", "lot__item__name", "pk")
    lines += [lot_line(row.lot, row.quantity, 0, 0, 0, row.quantity) for row in kept]
    return tuple(lines)


def lot_line(lot: Lot, drawn: int, laid: int, back: int, waste: int, left: int) -> SheetLot:
    """Return a lot in packs."""

    def packs(quantity: int) -> str:
        return pack_words(quantity, lot.item.pack_quantity, lot.item.pack_name) if quantity else ""

    return SheetLot(
        lot.item.name, lot.code, lot.run or "/".join(filter(None, [lot.batch_a, lot.batch_b])),
        lot.expiry, lot.held_reason, packs(drawn), packs(laid), packs(back), packs(waste),
        packs(left),
    )  # fmt: skip


def cautions_for(job: Job) -> tuple[str, ...]:
    """Return the day's reminders: isocyanates, dust, lifting, vibration; each defers."""
    heavy = [
        row.item
        for row in Requirement.objects.filter(job=job, phase="lay").select_related("item")
        if is_heavy(row.item.pack_mass_g)
    ]
    return (*(each.message for each in cautions_of_work()), *lifting_of(heavy), vibration_of())


def cautions_of_work() -> tuple[Caution, ...]:
    """Return the engine's cautions of mixing and laying."""
    return gathered(work_cautions(cutting=False, resin=True, dry_fillers=True))


def lifting_of(heavy: Sequence[object]) -> tuple[str, ...]:
    """Return the reminder of lifting where packs are heavy."""
    if not heavy:
        return ()
    named = ", ".join(dict.fromkeys(str(item) for item in heavy))
    said = (
        f"Heavy packs ({named}): share the lifts, use the barrow, assess the lifting; no limit is "
        "laid down by law."
    )
    return (said,)


def vibration_of() -> str:
    """Return how long a paddle mixer may be held, by its typical figure."""
    mixer = TYPICAL["paddle mixer"]
    return (
        f"A hand-held paddle mixer of typically {mixer:g} m/s² reaches the action value after "
        f"{minutes_shown(time_to(mixer))} at the trigger in a day: take turns, and follow the "
        "maker's figure."
    )
