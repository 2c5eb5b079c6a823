"""By when what a variation adds must be ordered, and what that does to the date."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from jobs.calendar.queries import firm_calendar, phase_days
from jobs.calendar.rules import NoOpenDayError
from jobs.kernel.clock import london_day
from jobs.kernel.templatetags import firm
from jobs.work.models import Job
from quotes.variations.models import Variation
from quotes.variations.rules.parts import stock_of
from stock.allocation.rules import DAYS_UNTIL_BOOKED
from stock.catalogue.enums import ItemKind
from stock.catalogue.models import Item
from stock.ordering.queries import offers_for
from stock.ordering.rules import arrival, needed_on, order_by


@dataclass(frozen=True)
class OrderMoment:
    """By when what a variation adds must be ordered, and whether it can be here in time."""

    item: str
    order_by: datetime | None
    needed_on: date
    first_day: date
    booked: bool
    here_on: date | None

    @property
    def late(self) -> bool:
        """Whether it cannot be here before it is wanted."""
        return self.here_on is None or self.here_on > self.needed_on

    @property
    def words(self) -> str:
        """The moment as our people read it."""
        if self.late:
            when = firm.day_year(self.here_on) if self.here_on else "nobody knows when"
            return f"{self.item}: here on {when} at the earliest, wanted {firm.day(self.needed_on)}"
        return f"{self.item}: order by {firm.day(self.order_by)}, {firm.wall(self.order_by)}"


def order_moment(job: Job, lines: Sequence[Any], at: datetime) -> OrderMoment | None:
    """Return the earliest last moment over what lines add; None where they add no material.

    Of each item the channel that leaves most time counts.
    """
    added = {spot: quantity for spot, quantity in stock_of(lines).items() if quantity > 0}
    if not added:
        return None
    calendar, today = firm_calendar(), london_day(at)
    phases = phase_days([job.pk]).get(job.pk, {})
    items = {item.pk: item for item in Item.objects.filter(pk__in={spot[0] for spot in added})}
    offers = offers_for(set(items), on=today)
    supposed = calendar.on_or_after(today + timedelta(days=DAYS_UNTIL_BOOKED))
    found = []
    for item_id, _, phase in added:
        item = items[item_id]
        first = phases.get(phase, (supposed, supposed))[0]
        hours = item.conditioning_hours if item.kind == ItemKind.KIT else 0
        wanted = needed_on(first, calendar, hours)
        moments = [moment for offer in offers[item_id] if (moment := order_by(wanted, offer.terms))]
        last = max((moment.order_by for moment in moments), default=None)
        found.append(OrderMoment(
            str(item), last, wanted, first, phase in phases, _here_on(offers[item_id], at)
        ))  # fmt: skip
    late = [each for each in found if each.late]
    if late:
        return max(late, key=lambda each: each.here_on or date.max)
    return min(found, key=lambda each: each.order_by.timestamp() if each.order_by else 0.0)


def _here_on(offers: Sequence[Any], at: datetime) -> date | None:
    days = []
    for offer in offers:
        try:
            days.append(arrival(at, offer.terms))
        except NoOpenDayError:
            continue
    return min(days, default=None)


def effect_of(variation: Variation, moment: OrderMoment | None) -> str:
    """Return what a variation does to the date, as the customer reads it."""
    phases = phase_days([variation.revision.quote.job_id])
    lay = phases.get(variation.revision.quote.job_id, {}).get("lay")
    said = []
    if variation.days_added > 0:
        said.append(f"The work takes {firm.quantity(variation.days_added, 'day')} longer.")
    elif variation.days_added < 0:
        said.append(f"The work takes {firm.quantity(-variation.days_added, 'day')} less.")
    if moment is not None and moment.late:
        when = firm.day_year(moment.here_on) if moment.here_on else "a day not known yet"
        said.append(f"Its material can be here on {when} at the earliest; laying moves with it.")
    elif lay is not None:
        said.append(f"Laying stays booked for {firm.day_year(lay[0])}.")
    return " ".join(said) or "It does not change the date."
