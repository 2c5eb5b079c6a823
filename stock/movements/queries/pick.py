"""What to pick for a job, and what lies in a place."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from jobs.work.models import Job
from stock.allocation.models import Reservation
from stock.allocation.queries import lay_day_of
from stock.catalogue.models import Place
from stock.ledger.models import Balance, Lot
from stock.ledger.rules import YARD, pack_words
from stock.movements.rules import draw_from


@dataclass(frozen=True)
class PickLine:
    """One thing to take: from where, of which lot, how much."""

    place: str
    lot: str
    item: str
    colour_group: str
    run: str
    use_by: date | None
    packs: str
    kg: Decimal
    held: str
    labelled: bool = False


@dataclass(frozen=True)
class PickSheet:
    """A job's pick list, in the order in which one walks past the places."""

    reference: str
    title: str
    site: str
    lay_day: date | None
    lines: tuple[PickLine, ...]

    @property
    def kg(self) -> Decimal:
        """The mass of all of it."""
        return sum((line.kg for line in self.lines), Decimal(0))


def pick_sheet(job: Job) -> PickSheet:
    """Return what is reserved for a job, by place, the nearest first."""
    reservations = list(Reservation.objects.of_job(job.pk).order_by("pk"))
    there: dict[int, list[Balance]] = {}
    for row in (
        Balance.objects.filter(
            lot_id__in={row.lot_id for row in reservations},
            quantity__gt=0, place__kind__in=YARD,
        )
        .select_related("place")
        .order_by("place__near", "place_id")
    ):  # fmt: skip
        there.setdefault(row.lot_id, []).append(row)
    left = {pk: [[row.place, row.quantity] for row in rows] for pk, rows in there.items()}
    lines: list[tuple[tuple[int, str, str], PickLine]] = []
    for kept in reservations:
        spots = left.get(kept.lot_id, [])
        parts = draw_from([(index, spot[1]) for index, spot in enumerate(spots)], kept.quantity)
        for index, part in parts:
            spots[index][1] -= part
            spot = spots[index][0]
            lines.append(((spot.near, spot.name, kept.lot.item.name), line_of(kept, spot, part)))
    lines.sort(key=lambda pair: pair[0])
    return PickSheet(
        job.reference, job.title, str(job.site), lay_day_of(job.pk),
        tuple(line for _, line in lines),
    )  # fmt: skip


def line_of(kept: Reservation, spot: Place, part: int) -> PickLine:
    """Return one line of a pick list."""
    lot, item = kept.lot, kept.lot.item
    return PickLine(
        place=spot.name, lot=lot.code, item=item.name,
        colour_group=kept.requirement.colour_group, run=lot.run, use_by=lot.expiry,
        packs=pack_words(part, item.pack_quantity, item.pack_name),
        kg=Decimal(part) * item.pack_mass_g / item.pack_quantity / 1000, held=lot.held_reason,
        labelled=kept.labelled_at is not None,
    )  # fmt: skip


def lots_in(place: Place) -> list[Lot]:
    """Return the lots that the book holds in a place; no quantities, since a count is blind."""
    return list(
        Lot.objects.filter(balances__place=place, balances__quantity__gt=0)
        .select_related("item")
        .order_by("item__kind", "item__name", "code")
    )
