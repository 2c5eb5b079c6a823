"""What won jobs lack and the last moment to order it, reckoned and not stored.

The sweep stores what is reckoned here; the command and the pages of a moment read it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.db.models import F, Sum

from jobs.calendar.queries import firm_calendar, phase_days
from jobs.calendar.rules import WorkingCalendar
from jobs.kernel.clock import LONDON, london_day
from jobs.kernel.templatetags.firm import day as day_words
from jobs.work.enums import Stage
from jobs.work.models import Job
from stock.allocation.models import Requirement, Reservation
from stock.allocation.rules import DAYS_UNTIL_BOOKED
from stock.catalogue.enums import ItemKind
from stock.catalogue.models import Item
from stock.ledger.models import Lot
from stock.ledger.rules import pack_words
from stock.ordering.enums import OrderState
from stock.ordering.models import GoodsInLine, OrderLine
from stock.ordering.queries.offers import ChannelOffer, offers_for
from stock.ordering.queries.open_orders import on_order, open_lines
from stock.ordering.rules import FreeLot, Need, Short, needed_on, order_by, packs_for, short_of

WANTING = (Stage.WON.value, Stage.BOOKED.value, Stage.ON_SITE.value)


@dataclass(frozen=True)
class LastMoment:
    """The last moment on one channel for one shortage; None: it cannot arrive in time."""

    offer: ChannelOffer
    order_by: datetime | None
    arrives_on: date | None

    def as_json(self) -> dict[str, object]:
        """Return what a stored shortage keeps of it."""
        channel = self.offer.channel
        return {
            "channel_id": channel.pk,
            "kind": channel.kind,
            "supplier": channel.supplier.name,
            "order_by": self.order_by.isoformat() if self.order_by else None,
            "arrives_on": self.arrives_on.isoformat() if self.arrives_on else None,
        }


@dataclass(frozen=True)
class Reckoned:
    """A shortage as it stands at one moment."""

    short: Short
    job: Job
    item: Item
    first_day: date
    booked: bool
    moments: tuple[LastMoment, ...]

    @property
    def packs(self) -> int:
        """Whole packs that end it."""
        return packs_for(self.short.quantity, self.item.pack_quantity)

    @property
    def order_by(self) -> datetime | None:
        """The latest of its channels' last moments."""
        return max((m.order_by for m in self.moments if m.order_by), default=None)

    @property
    def why(self) -> str:
        """Where it is wanted and when, and what does not count for it."""
        said = [f"{self.job.site.name}, {self._when()}."]
        if self.short.on_order:
            said.append(f"{self._packs(self.short.on_order)} more are on order.")
        if self.short.odd:
            said.append(f"{self._packs(self.short.odd)} of other runs lie here and do not count.")
        if not self.moments:
            said.append("No supplier's price is known.")
        return " ".join(said)[:300]

    def _when(self) -> str:
        what = "laying" if self.short.need.phase == "lay" else "preparing"
        if self.booked:
            return f"{what} {day_words(self.first_day)}"
        return f"not booked, reckoned as {what} {day_words(self.first_day)}"

    def _packs(self, quantity: int) -> str:
        return pack_words(quantity, self.item.pack_quantity, self.item.pack_name)


def reckon_shortages(at: datetime, job_ids: Collection[int] | None = None) -> list[Reckoned]:
    """Return what won jobs lack at `at`, the earliest last moment first; a fixed count of queries.

    `job_ids` narrows the answer, not the reckoning: other jobs still take their share first.
    """
    today = london_day(at)
    wanted = _open_requirements()
    needs = _needs(wanted, today)
    shorts = short_of([need for need, *_ in needs.values()], _free_lots(wanted), on_order())
    if job_ids is not None:
        shorts = [short for short in shorts if short.need.job_id in job_ids]
    offers = offers_for({short.need.item_id for short in shorts}, on=today)
    found = [_reckon(short, needs, offers[short.need.item_id]) for short in shorts]
    never = datetime.max.replace(tzinfo=LONDON)
    return sorted(found, key=lambda row: (row.order_by or never, row.short.need.key))


def job_needs(at: datetime) -> list[Need]:
    """Return all that won jobs want and have neither reserved nor issued, covered or not."""
    return [need for need, *_ in _needs(_open_requirements(), london_day(at)).values()]


def _open_requirements() -> list[Any]:
    return list(
        Requirement.objects.filter(closed_at=None, job__stage__in=WANTING)
        .select_related("item", "job__site")
        .annotate(kept=Sum("reservations__quantity", default=0))
        .order_by("pk")
    )


NeedRow = tuple[Need, Job, Item, date, bool]


def _needs(wanted: Collection[Any], today: date) -> dict[tuple[int, int, str, str], NeedRow]:
    firm = firm_calendar()
    booked = phase_days({row.job_id for row in wanted})
    runs = _runs_kept([row.pk for row in wanted if row.item.run_matched])
    found: dict[tuple[int, int, str, str], NeedRow] = {}
    for row in wanted:
        left = row.quantity - row.kept - row.issued
        if left <= 0:
            continue
        phases = booked.get(row.job_id, {})
        days = phases.get(row.phase)
        supposed = firm.on_or_after(today + timedelta(days=DAYS_UNTIL_BOOKED))
        first, last = days or (supposed, supposed)
        need = Need(
            job_id=row.job_id, item_id=row.item_id, colour_group=row.colour_group,
            phase=row.phase, quantity=left, used_on=last,
            needed_on=_needed(first, firm, row.item), margin_days=row.item.expiry_margin_days,
            run_matched=row.item.run_matched, runs=runs.get(row.pk, frozenset()),
        )  # fmt: skip
        found[need.key] = (need, row.job, row.item, first, days is not None)
    return found


def _needed(first: date, firm: WorkingCalendar, item: Item) -> date:
    hours = item.conditioning_hours if item.kind == ItemKind.KIT else 0
    return needed_on(first, firm, hours)


def _runs_kept(requirement_ids: Collection[int]) -> dict[int, frozenset[str]]:
    rows = Reservation.objects.filter(requirement_id__in=requirement_ids).values_list(
        "requirement_id", "lot__run"
    )
    found: dict[int, set[str]] = defaultdict(set)
    for requirement_id, run in rows:
        found[requirement_id].add(run)
    return {key: frozenset(runs) for key, runs in found.items()}


def _free_lots(wanted: Collection[Any]) -> list[FreeLot]:
    items = {row.item_id for row in wanted}
    lots = list(Lot.objects.released().filter(item_id__in=items, on_hand__gt=F("reserved")))
    ordered_for: dict[int, set[int]] = defaultdict(set)
    came_in = GoodsInLine.objects.filter(
        lot_id__in=[lot.pk for lot in lots], order_line__job__isnull=False
    ).values_list("lot_id", "order_line__job_id")
    for lot_id, job_id in came_in:
        if lot_id is not None and job_id is not None:
            ordered_for[lot_id].add(job_id)
    here = [
        FreeLot(lot.pk, lot.item_id, lot.run, lot.free, lot.expiry, frozenset(ordered_for[lot.pk]))
        for lot in lots
    ]
    # What the yard has ordered for itself is of one run, which nobody knows yet, and fresh.
    coming = [
        FreeLot(-line.pk, line.item_id, f"of order line {line.pk}", line.outstanding,
                comes_on=line.order.expected_on)
        for line in open_lines().filter(job=None, item_id__in=items)
        if line.order.expected_on is not None and line.outstanding > 0
    ]  # fmt: skip
    return here + coming


def _reckon(
    short: Short, needs: dict[tuple[int, int, str, str], NeedRow], offers: list[ChannelOffer]
) -> Reckoned:
    need, job, item, first, booked = needs[short.need.key]
    moments = []
    for offer in offers:
        moment = order_by(need.needed_on, offer.terms)
        moments.append(
            LastMoment(
                offer,
                moment.order_by.astimezone(LONDON) if moment else None,
                moment.arrives_on if moment else None,
            )
        )
    early = datetime.min.replace(tzinfo=LONDON)
    moments.sort(key=lambda each: (each.order_by or early, each.offer.channel.pk))
    return Reckoned(short, job, item, first, booked, tuple(moments))


def draft_lines(shortages: Collection[Any]) -> dict[tuple[int, int, str], OrderLine]:
    """Return (job, item, colour group) -> its line in a draft order; one query."""
    lines = OrderLine.objects.filter(
        order__state=OrderState.DRAFT, job_id__in={row.job_id for row in shortages}
    ).select_related("order__supplier")
    return {
        (line.job_id, line.item_id, line.colour_group): line
        for line in lines
        if line.job_id is not None
    }
