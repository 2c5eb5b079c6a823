"""When a customer is reminded of a quote or a variation, and in which words; no rows.

After 3, 7 and 14 days and once more before its last day: common practice, no source. Always on a
working day, within office hours, and never two reminders within two days.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from jobs.calendar.rules import WorkingCalendar
from jobs.kernel.clock import LONDON, at_wall, london_day
from jobs.kernel.templatetags.firm import day_year, money, signed_money
from quotes.quoting.rules import QuoteSheet
from quotes.variations.rules import VariationSheet

AFTER_DAYS = (3, 7, 14)
BEFORE_LAST = timedelta(days=2)
APART = timedelta(days=2)
HOUR = time(10, 0)
OFFICE_OPENS, OFFICE_SHUTS = time(9, 0), time(17, 0)
# A reminder that could not be written on its day is left out, not sent whenever.
STALE = timedelta(days=3)
SOON = timedelta(days=5)
LAST = "last"


@dataclass(frozen=True)
class Step:
    """One reminder: its code in the occasion's name, and its moment."""

    code: str
    at: datetime

    @property
    def words(self) -> str:
        """Which reminder it is, as our people read it."""
        if self.code == LAST:
            return "before its last day"
        return f"after {self.code[1:]} days"

    def as_json(self) -> dict[str, str]:
        """Return it as it is kept."""
        return {"step": self.code, "at": self.at.isoformat()}

    @classmethod
    def from_json(cls, kept: dict[str, str]) -> Step:
        """Return the step that `as_json` gave."""
        return cls(kept["step"], datetime.fromisoformat(kept["at"]).astimezone(LONDON))


def plan(sent_at: datetime, valid_until: date, calendar: WorkingCalendar) -> tuple[Step, ...]:
    """Return the reminders of what was sent at `sent_at`, the earliest first."""
    sent = london_day(sent_at)
    final = calendar.on_or_before(valid_until - BEFORE_LAST)
    days: list[tuple[str, date]] = []
    for count in AFTER_DAYS:
        day = calendar.on_or_after(sent + timedelta(days=count))
        if day + APART <= final and (not days or days[-1][1] + APART <= day):
            days.append((f"d{count}", day))
    if sent + APART <= final:
        days.append((LAST, final))
    return tuple(Step(code, at_wall(day, HOUR)) for code, day in days)


def is_decent(at: datetime, calendar: WorkingCalendar) -> bool:
    """Return whether a customer may be written to at an instant: a working day, office hours."""
    wall = at.astimezone(LONDON)
    return calendar.is_open(wall.date()) and OFFICE_OPENS <= wall.time() < OFFICE_SHUTS


def due_step(
    steps: Sequence[Step], at: datetime, written: Collection[str], since: datetime | None = None
) -> Step | None:
    """Return the reminder to write at `at`, None where none is due.

    Only the newest of those whose moment came counts: two missed ones do not go together. One
    that was written, went stale, or fell into a pause that ended at `since` is left out.
    """
    come = [step for step in steps if step.at <= at]
    if not come or come[-1].code in written:
        return None
    newest = come[-1]
    missed = at - newest.at > STALE or (since is not None and newest.at < since)
    return None if missed else newest


def occasion_of(revision_id: int, code: str) -> str:
    """Return the outbox's name of a reminder: one for each revision and step, for ever."""
    return f"chase:{revision_id}:{code}"


def row_in(occasion: str) -> int:
    """Return the revision or variation that a reminder is about."""
    return int(occasion.split(":")[1])


def variation_occasion(variation_id: int, code: str) -> str:
    """Return the outbox's name of a variation's reminder: one for each step, for ever."""
    return f"chase-variation:{variation_id}:{code}"


def subject(sheet: QuoteSheet | VariationSheet, step: Step) -> str:
    """Return the head of a reminder."""
    if step.code == LAST:
        return f"{sheet.title_line} holds until {day_year(sheet.valid_until)}: {sheet.title}"
    return f"{sheet.title_line}: {sheet.title}"


def letter(sheet: QuoteSheet, step: Step, sent_at: datetime, address: str) -> str:
    """Return the words of a reminder."""
    price = f"{money(sheet.gross)} with VAT" if sheet.consumer else f"{money(sheet.net)} before VAT"
    ends = f"It holds until {day_year(sheet.valid_until)}"
    if step.code == LAST:
        ends += "; after that day we have to look at the prices again"
    return (
        f"Dear {sheet.customer},\n\n"
        f"On {day_year(sent_at)} we sent you our quote {sheet.reference} for {sheet.title}: "
        f"{price}. {ends}.\n\n"
        "If anything is unclear, answer this message or ring us. To see the quote, accept it or "
        f"decline it, open:\n\n{address}\n\n"
        "A word is enough if you have decided otherwise: then we do not write about it again.\n\n"
        f"{sheet.firm}\n"
    )


def variation_letter(sheet: VariationSheet, step: Step, sent_at: datetime, address: str) -> str:
    """Return the words of a reminder of a variation."""
    change = signed_money(sheet.gross if sheet.consumer else sheet.net)
    vat = "with VAT" if sheet.consumer else "before VAT"
    ends = f"It holds until {day_year(sheet.valid_until)}"
    if step.code == LAST:
        ends += "; after that day we have to look at the prices again"
    return (
        f"Dear {sheet.customer},\n\n"
        f"On {day_year(sent_at)} we sent you {sheet.label} to your quote {sheet.reference}, "
        f"{sheet.title}: it changes the price by {change} {vat}. {ends}.\n\n"
        "If anything is unclear, answer this message or ring us. To see it, accept it or decline "
        f"it, open:\n\n{address}\n\n"
        "Until you accept, the job stays as agreed. A word is enough if you do not want the "
        "change: then we do not write about it again.\n\n"
        f"{sheet.firm}\n"
    )
