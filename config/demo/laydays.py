"""Lay days of the demo: base accepted, mixes logged, bays full, bags back in the evening."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from config.demo.stories import Story
from config.demo.world import World, at, key
from jobs.costing.services import enter_hours
from jobs.surveys.queries import latest_finished, sheets_of
from stock.allocation.models import Requirement
from stock.laying.queries import evening_balance
from stock.laying.rules import EveningRow
from stock.laying.services import (
    accept_base,
    add_bay,
    bay_full,
    close_day,
    evening_return,
    log_mix,
    open_lay_day,
)

MIX_MINUTES = 14


def lay_days(world: World, story: Story, job: Any, first: date, last: date) -> Iterator[datetime]:
    """Yield the moments of the lay days and do what happens then.

    Every fourth job comes out one mix under, so that an unopened kit and its bags come back.
    """
    kits = sum(
        row.issued for row in Requirement.objects.filter(job=job, item__kind="kit", phase="lay")
    )
    spare = 1 if job.pk % 4 == 0 and kits > 4 else 0
    days = [first] if first == last else [first, last]
    areas = measured(job)
    done = 0
    for place, day in enumerate(days):
        share = (kits - spare) if day == last else (kits - spare + 1) // 2
        yield at(day, 8, 5)
        lay_day = accept(world, job, day)
        laid_today = areas if len(days) == 1 else [areas[place % len(areas)]]
        bays = [
            add_bay(
                lay_day_id=lay_day.pk, name=f"bay {'ABCD'[place]}{n}", area_name=name,
                by=world.users["crew"], at=at(day, 8, 10),
            )
            for n, (name, _) in enumerate(laid_today, 1)
        ]  # fmt: skip
        while done < share:
            bay = bays[min(len(bays) - 1, (done * len(bays)) // max(share, 1))]
            started = at(day, 8, 30) + timedelta(minutes=MIX_MINUTES * (done % 40))
            yield started
            log_mix(
                lay_day_id=lay_day.pk, bay_id=bay.pk, uid=key("mix", job.reference, done),
                started_at=started, by=world.users["crew"], at=started,
            )  # fmt: skip
            done += 1
        yield at(day, 16, 45)
        evening(world, story, job, lay_day, dict(areas), bays, day, days)


def measured(job: Any) -> list[tuple[str, Decimal]]:
    """Return the names and sizes of a job's surveyed areas."""
    survey = latest_finished(job.pk)
    if survey is None:
        return []
    return [
        (sheet.area.name, Decimal(f"{sheet.size.area_m2:.2f}"))
        for sheet in sheets_of(survey)
        if sheet.size.area_m2
    ]


def accept(world: World, job: Any, day: date) -> Any:
    """Open the day and accept the base: mild, dry enough, warmer than the dew point."""
    crew, moment = world.users["crew"], at(day, 8, 5)
    lay_day = open_lay_day(job_id=job.pk, day=day, by=crew, at=moment)
    mild = Decimal(11 + day.month % 6)
    return accept_base(
        lay_day_id=lay_day.pk, air_c=mild, surface_c=mild - 1, humidity_percent=Decimal(68),
        note="swept, dry", seen=True, by=crew, at=moment,
    )  # fmt: skip


def evening(
    world: World, story: Story, job: Any, lay_day: Any, sizes: dict[str, Decimal], bays: list[Any],
    day: date, later_days: list[date],
) -> None:  # fmt: skip
    """Measure the bays, bring back what was not opened, enter the hours, close the day."""
    crew, moment = world.users["crew"], at(day, 16, 45)
    for bay in bays:
        bay_full(bay_id=bay.pk, area_m2=sizes[bay.area_name], by=crew, at=moment)
    more = any(later > day for later in later_days)
    rows = [what_became(row, more=more) for row in evening_balance(job.pk) if row.left]
    if rows:
        evening_return(
            lay_day_id=lay_day.pk, rows=rows, place_id=world.places["Bay 2"].pk,
            key=key("evening", job.reference, day), by=crew, at=moment,
        )  # fmt: skip
    name = ("North crew", "South crew")[story.crew]
    for person in world.people[name]:
        enter_hours(
            job_id=job.pk, person_id=person.pk, day=day, kind="work",
            minutes=510 * story.hours // 100 // 15 * 15,
            uid=key("laid", job.reference, person.name, day), by=crew, at=at(day, 17, 15),
        )  # fmt: skip
    close_day(lay_day_id=lay_day.pk, by=crew, at=at(day, 17, 20))


def what_became(row: Any, *, more: bool) -> EveningRow:
    """Say of what lies at the site that it stays for tomorrow, was used up, or comes back."""
    if more:
        return EveningRow(lot_id=row.lot.pk, stays=row.left)
    if not row.is_mixed:
        return EveningRow(lot_id=row.lot.pk, used=row.left)
    whole = row.left - row.left % row.lot.item.pack_quantity
    return EveningRow(lot_id=row.lot.pk, back=whole, opened=row.left - whole)
