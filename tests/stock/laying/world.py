"""A won job with its material at the site: what every test of the lay day begins with."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from typing import Any
from uuid import uuid4

from jobs.calendar.models import Booking
from stock.allocation.services import reserve_job
from stock.catalogue.models import Blend, Place
from stock.laying.models import LayBay, LayDay, Mix
from stock.laying.services import accept_base, add_bay, log_mix, open_lay_day
from stock.ledger.models import Balance, Lot
from stock.movements.services import issue_job
from tests.factories import (
    AT,
    DAY,
    make_blend,
    make_booking,
    make_crew,
    make_job,
    make_kit,
    make_lot,
    make_person,
    make_place,
    make_requirement,
    make_sand,
    make_stone,
)

GOOD: dict[str, Any] = {
    "air_c": Decimal("18.0"),
    "surface_c": Decimal("16.0"),
    "humidity_percent": Decimal("60.0"),
}
BAG = 20_000


@dataclass
class Site:
    """A job with a blend of one kit, four bags of stone and half a bag of sand a mix."""

    job: Any
    blend: Blend
    lots: dict[str, Lot]
    bay: Place
    booking: Booking
    day: LayDay | None = None
    bays: list[LayBay] = field(default_factory=list)

    def left(self, name: str) -> int:
        """What lies at the site of a lot."""
        found = Balance.objects.filter(place__job=self.job, lot=self.lots[name]).first()
        return found.quantity if found else 0


def make_site_with(mixes: int = 3, *, by: Any = None, issue: bool = True, **job: Any) -> Site:
    """A won job, booked today for a crew that `by` leads, with material for so many mixes."""
    kit, stone, sand = make_kit(), make_stone(), make_sand()
    blend = make_blend(kit=kit, components=[(stone, 4), (sand, "0.5")])
    made = make_job(**{"stage": "booked"} | job)
    crew = make_crew()
    if by is not None:
        make_person(crew=crew, user=by, is_lead=True)
    booking = make_booking(made, crew=crew)
    sands = (mixes + 1) // 2
    make_requirement(made, kit, mixes, colour_group="")
    make_requirement(made, stone, 4 * mixes)
    make_requirement(made, sand, sands, colour_group="")
    lots = {
        "kit": make_lot(kit, mixes),
        "stone": make_lot(stone, 4 * mixes),
        "sand": make_lot(sand, sands),
    }
    site = Site(made, blend, lots, make_place(), booking)
    if issue:
        issue_all(site)
    return site


def issue_all(site: Site) -> None:
    """Reserve and issue what the job needs."""
    reserve_job(job_id=site.job.pk, by=None, at=AT)
    issue_job(job_id=site.job.pk, key=uuid4(), day=DAY, by=None, at=AT)


def open_day(site: Site, by: Any = None, *, accept: bool = True, bays: int = 1) -> LayDay:
    """Open the day, accept the base, add bays A, B …"""
    day = open_lay_day(job_id=site.job.pk, day=DAY, by=by, at=AT)
    if accept:
        day = accept_base(lay_day_id=day.pk, by=by, at=AT, **GOOD)
        site.bays = [add_bay(lay_day_id=day.pk, name="ABCD"[n], by=by, at=AT) for n in range(bays)]
    site.day = day
    return day


def tap(site: Site, *, at: datetime = AT, **fields: Any) -> Mix:
    """One tap on the phone."""
    assert site.day is not None
    values: dict[str, Any] = {
        "lay_day_id": site.day.pk, "uid": uuid4(), "started_at": at, "by": None, "at": at,
    } | fields  # fmt: skip
    values.setdefault("bay_id", site.bays[0].pk if site.bays else None)
    return log_mix(**values)
