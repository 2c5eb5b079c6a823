"""What to reorder on a day, reckoned and not stored."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal

from django.db.models import F

from jobs.calendar.rules import NoOpenDayError
from jobs.kernel.clock import LONDON, at_wall, london_day
from jobs.kernel.templatetags.firm import day as day_words
from jobs.work.models import Job
from stock.catalogue.models import Item
from stock.ledger.models import Lot
from stock.ledger.rules import pack_words
from stock.ordering.enums import OrderState
from stock.ordering.models import OrderLine
from stock.ordering.queries import (
    ChannelOffer,
    Reckoned,
    draft_lines,
    job_needs,
    offers_for,
    on_order,
    reckon_shortages,
)
from stock.ordering.rules import arrival, next_cutoff, order_by, packs_for
from stock.reorder.models import ReorderRun
from stock.reorder.rules import Batch, join_near, net_periods, pallet_words

HORIZON = 90  # days that are looked ahead
WEEK = 7


@dataclass(frozen=True)
class Proposal:
    """So many packs of an item, from whom and by when; without an offer it cannot be met."""

    item: Item
    quantity: int
    packs: int
    why: str
    offer: ChannelOffer | None = None
    job: Job | None = None
    colour_group: str = ""
    needed_on: date | None = None
    order_by: datetime | None = None

    @property
    def packs_text(self) -> str:
        """The packs as they travel."""
        item = self.item
        words = pack_words(self.packs * item.pack_quantity, item.pack_quantity, item.pack_name)
        return pallet_words(self.packs, item.packs_per_pallet, words)

    def as_json(self) -> dict[str, object]:
        """Return it as the command prints it; every key is there, money is text."""
        channel = self.offer.channel if self.offer else None
        cost: Decimal | None = self.offer.cost(self.packs) if self.offer else None
        return {
            "item": self.item.code,
            "name": self.item.name,
            "job": self.job.reference if self.job else None,
            "colour_group": self.colour_group or None,
            "quantity": self.quantity,
            "base_unit": self.item.base_unit,
            "packs": self.packs,
            "one_run": self.item.run_matched,
            "supplier": channel.supplier.name if channel else None,
            "channel": channel.kind if channel else None,
            "cost": f"{cost:.2f}" if cost is not None else None,
            "needed_on": self.needed_on.isoformat() if self.needed_on else None,
            "order_by": self.order_by.isoformat() if self.order_by else None,
            "why": self.why,
        }


def moment_for(on: date, now: datetime) -> datetime:
    """Return the instant to reckon for a day: now if it is today, else its first."""
    return now if london_day(now) == on else at_wall(on, datetime.min.time())


def reckon(at: datetime) -> list[Proposal]:
    """Return what to order at `at`: for each job what it lacks, for the yard what it will.

    A fixed number of queries, however many jobs and items. What lies in a draft order is not
    proposed again.
    """
    shortages = reckon_shortages(at)
    rows = [_Key(row.job, row.item, row.short.need.colour_group) for row in shortages]
    drafted = draft_lines(rows)
    for_jobs = [
        _for_job(row, at)
        for row, key in zip(shortages, rows, strict=True)
        if (key.job_id, key.item_id, key.colour_group) not in drafted
    ]
    return for_jobs + _for_yard(at, shortages)


@dataclass(frozen=True)
class _Key:
    job: Job
    item: Item
    colour_group: str

    @property
    def job_id(self) -> int:
        return self.job.pk

    @property
    def item_id(self) -> int:
        return self.item.pk


# -- for jobs ----------------------------------------------------------------------------------


def _for_job(row: Reckoned, at: datetime) -> Proposal:
    open_ones = [m for m in row.moments if m.order_by is not None and m.order_by >= at]
    need = row.short.need
    packs = row.packs
    why = f"{row.job.reference}, {row.why}"
    if not open_ones:
        reason = (
            f" Every cut-off to have it by {day_words(need.needed_on)} has passed."
            if row.moments
            else ""
        )
        return Proposal(
            row.item, row.short.quantity, packs, f"{why}{reason}"[:300], None, row.job,
            need.colour_group, need.needed_on, row.order_by,
        )  # fmt: skip
    best = min(open_ones, key=lambda m: (m.offer.cost(packs), m.offer.channel.pk))
    return Proposal(
        row.item, row.short.quantity, max(packs, best.offer.breaks[0][0]), why[:300], best.offer,
        row.job, need.colour_group, need.needed_on, best.order_by,
    )  # fmt: skip


# -- for the yard ------------------------------------------------------------------------------


def _for_yard(at: datetime, shortages: Sequence[Reckoned]) -> list[Proposal]:
    """Return top-ups of items with a least quantity that will fall below it.

    What jobs lack is ordered for them, so it counts here as coming in and going out again.
    """
    items = list(Item.objects.filter(archived_at=None, least__gt=0).order_by("kind", "name"))
    if not items:
        return []
    today = london_day(at)
    gross, covered = _job_gross(at, shortages, today)
    stock, coming = _stock({item.pk for item in items}, today)
    offers = offers_for({item.pk for item in items}, on=today)
    found: list[Proposal] = []
    for item in items:
        scheduled = [a + b for a, b in zip(coming[item.pk], covered[item.pk], strict=True)]
        rows = net_periods(
            gross[item.pk], scheduled, stock[item.pk], safety=item.least, lot=item.pack_quantity,
            fill_to=max(item.most, item.least),
        )  # fmt: skip
        planned = join_near([row.planned for row in rows], WEEK)
        for number, quantity in planned.items():
            expired = sum(row.expired for row in rows[: number + 1])
            found.append(
                _top_up(item, quantity, today + timedelta(days=number), expired, offers, at)
            )
    return found


def _series() -> list[int]:
    return [0] * (HORIZON + 1)


def _job_gross(
    at: datetime, shortages: Sequence[Reckoned], today: date
) -> tuple[dict[int, list[int]], dict[int, list[int]]]:
    """Return per item what jobs use by day, and what is or will be ordered for them by then."""
    gross: dict[int, list[int]] = defaultdict(_series)
    covered: dict[int, list[int]] = defaultdict(_series)
    ordered = on_order()
    for need in job_needs(at):
        gross[need.item_id][_day_number(need.needed_on, today)] += need.quantity
        part = min(need.quantity, ordered.get(need.key[:3], 0))
        ordered[need.key[:3]] = ordered.get(need.key[:3], 0) - part
        covered[need.item_id][_day_number(need.needed_on, today)] += part
    for row in shortages:
        covered[row.item.pk][_day_number(row.short.need.needed_on, today)] += row.short.quantity
    return gross, covered


def _day_number(day: date, today: date) -> int:
    return min(max((day - today).days, 0), HORIZON)


def _stock(
    items: Collection[int], today: date
) -> tuple[dict[int, list[Batch]], dict[int, list[int]]]:
    """Return per item its free released stock with its last usable day, and what is to come."""
    stock: dict[int, list[Batch]] = defaultdict(list)
    lots = Lot.objects.released().filter(item_id__in=items, on_hand__gt=F("reserved"))
    for lot in lots.select_related("item"):
        last = None
        if lot.expiry is not None:
            last = (lot.expiry - today).days - lot.item.expiry_margin_days
        stock[lot.item_id].append(Batch(lot.free, last))
    coming: dict[int, list[int]] = defaultdict(_series)
    lines = OrderLine.objects.filter(
        item_id__in=items, closed=False, job=None,
        order__state__in=[OrderState.DRAFT, *OrderState.OPEN],
    ).select_related("item", "order")  # fmt: skip
    for line in lines:
        due = line.order.expected_on or today
        coming[line.item_id][_day_number(due, today)] += line.outstanding
    return stock, coming


def _top_up(
    item: Item,
    quantity: int,
    day: date,
    expired: int,
    offers: dict[int, list[ChannelOffer]],
    at: datetime,
) -> Proposal:
    packs = packs_for(quantity, item.pack_quantity)
    choices = [(offer, _by_when(offer, day, at)) for offer in offers[item.pk]]
    timely = [(offer, moment) for offer, moment in choices if moment is not None]
    least = pack_words(item.least, item.pack_quantity, item.pack_name)
    when = "now" if day <= london_day(at) else f"from {day_words(day)}"
    why = f"Less than {least} {when}."
    if expired:
        gone = pack_words(expired, item.pack_quantity, item.pack_name)
        why += f" {gone} will have expired by then."
    if not timely:
        return Proposal(
            item, quantity, packs, f"{why} No supplier of it can be ordered from.", needed_on=day
        )
    offer, moment = min(timely, key=lambda row: (row[0].cost(packs), row[0].channel.pk))
    best = offer.best_packs(packs)
    if best > packs:
        why += f" {best} packs cost no more than {packs}."
    return Proposal(item, quantity, best, why[:300], offer, None, "", day, moment)


def _by_when(offer: ChannelOffer, day: date, at: datetime) -> datetime | None:
    """Return the last moment to have it by a day; if that has passed, the next cut-off."""
    try:
        arrival(at, offer.terms)
    except NoOpenDayError:
        return None
    moment = order_by(day, offer.terms)
    if moment is not None and moment.order_by >= at:
        return moment.order_by.astimezone(LONDON)
    soonest = next_cutoff(at, offer.terms)
    return soonest.astimezone(LONDON) if soonest else None


def latest_run() -> ReorderRun | None:
    """Return the latest day's reckoning."""
    return ReorderRun.objects.order_by("-on").first()
