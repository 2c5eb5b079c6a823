"""What must be said on a lay day's page now: times, lots, what the book lacks."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from jobs.kernel.clock import LONDON, london_day
from jobs.kernel.templatetags.firm import length_of_time
from quotes.engine.timing import Timing
from quotes.engine.workings import figure
from stock.catalogue.enums import ItemKind
from stock.laying.models import Discrepancy, LayDay
from stock.laying.rules import last_mix_by, outside_limits, safe_from
from stock.ledger.enums import LotStatus
from stock.ledger.models import Balance

# Readings older than this are asked for again (common practice, no source).
READ_AGAIN = timedelta(hours=2)


@dataclass(frozen=True)
class Remark:
    """A note on the page: level, the matter, the reason."""

    level: str
    title: str
    reason: str = ""


def hour(at: datetime) -> str:
    """Write the time of day; seconds are left out."""
    return f"{at.astimezone(LONDON):%H:%M}"


def whole_minute(at: datetime) -> datetime:
    """Return the next whole minute: what is promised from then on errs to the safe side."""
    stamp = math.ceil(round(at.timestamp(), 3) / 60) * 60
    return datetime.fromtimestamp(stamp, LONDON)


def time_remarks(
    day: LayDay, times: Timing | None, now: datetime, *, known: bool
) -> Iterator[Remark]:
    """Yield what the times of the kit mean at the day's readings; `known` where a blend is."""
    if times is None:
        if known:
            yield Remark(
                "look", "No working time is known for this kit",
                "The catalogue lacks its printed times; go by the data sheet.",
            )  # fmt: skip
        return
    if times.working_minutes is None or times.rain_safe_hours is None:
        yield Remark("stop", "No working time at this temperature", outside_limits(times).message)
        return
    hours = length_of_time(math.ceil(times.rain_safe_hours * 60))
    wants = f"The film wants {hours} at {figure(times.cool, '°C', 1)}"
    last = last_mix_by(day.dry_until, times) if day.dry_until else None
    safe = safe_from(now, times)
    if last is not None and day.dry_until is not None:
        reason = f"It stays dry until {hour(day.dry_until)} by the forecast. {wants}, after its "
        reason += "working time."
        if now > last:
            yield Remark("stop", f"Start no more mixes: the last was {hour(last)}", reason)
        else:
            yield Remark("look", f"Last mix by {hour(last)}", reason)
    elif safe is not None:
        safe = whole_minute(safe)
        on = "" if london_day(safe) == day.day else f"{safe.astimezone(LONDON):%a} "
        yield Remark(
            "note", f"A mix started now is safe from {on}{hour(safe)}",
            f"{wants} before rain or dew may fall on it.",
        )  # fmt: skip


def balances_at(day: LayDay) -> list[Balance]:
    """Return what lies at the job's site by the book: one query."""
    rows = Balance.objects.filter(place__job_id=day.job_id, quantity__gt=0)
    return list(rows.select_related("lot__item").order_by("lot_id"))


def lot_remarks(day: LayDay, there: Sequence[Balance]) -> Iterator[Remark]:
    """Yield the lots at the site that must not be mixed: held, or past their date."""
    for row in there:
        lot = row.lot
        if lot.status == LotStatus.HELD:
            yield Remark("stop", f"Do not mix {lot.code}, {lot.item}", f"Held: {lot.held_reason}.")
        elif lot.expiry is not None and lot.expiry < day.day:
            yield Remark(
                "stop", f"Do not mix {lot.code}, {lot.item}",
                f"It was to be used by {lot.expiry:%d %b %Y}.",
            )  # fmt: skip


def stand_in_remarks(there: Sequence[Balance], kits: Mapping[int, str]) -> Iterator[Remark]:
    """Yield the kits at the site that are not those of the bays' blends (pk: name): the clock does
    not know their times."""
    others = {row.lot.item.name for row in there if row.lot.item.kind == ItemKind.KIT}
    for name in sorted(others - set(kits.values())) if kits else ():
        yield Remark(
            "look", f"{name} is here in place of {', '.join(sorted(set(kits.values())))}",
            "The clock does not go by its times: read working time, limits and rain-safe time on "
            "its own data sheet.",
        )  # fmt: skip


def book_remarks(day: LayDay, mixes: int, planned: int | None, now: datetime) -> Iterator[Remark]:
    """Yield what the book and the watch say: not booked, more than planned, old readings."""
    unbooked = Discrepancy.objects.open().filter(mix__lay_day=day).count()
    if unbooked:
        yield Remark(
            "look",
            "One mix is not booked in the yard" if unbooked == 1
            else f"{unbooked} mixes are not booked in the yard",
            "The book has too little at this site. The mixes stand; the storeman is asked.",
        )  # fmt: skip
    if planned is not None and mixes > planned:
        yield Remark(
            "look", f"More mixes than the {planned} planned",
            "Measure the bays and tell the office.",
        )  # fmt: skip
    read = day.readings_at
    if read is not None and now.timestamp() - read.timestamp() > READ_AGAIN.total_seconds():
        yield Remark(
            "look", f"The readings are of {hour(read)}", "Read again: the clock goes by them."
        )
