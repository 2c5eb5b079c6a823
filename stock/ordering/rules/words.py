"""How a shortage is said: on the page by the clock, on today's list and in e-mail."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from jobs.kernel.clock import LONDON
from jobs.kernel.templatetags.firm import day as day_words
from jobs.kernel.templatetags.firm import how_long_left, wall
from stock.ordering.enums import ReminderKind
from stock.suppliers.enums import ChannelKind


@dataclass(frozen=True)
class ChannelMoment:
    """One channel's last moment for a shortage, as its stored row keeps it."""

    channel_id: int
    kind: str
    supplier: str
    order_by: datetime | None
    arrives_on: date | None

    @property
    def way(self) -> str:
        """The channel in words: 'online'."""
        return str(ChannelKind(self.kind).label)

    def is_open(self, at: datetime) -> bool:
        """Return whether an order at `at` still arrives in time."""
        return self.order_by is not None and at <= self.order_by


@dataclass(frozen=True)
class ShortFacts:
    """A shortage as people are told of it."""

    pk: int
    title: str
    why: str
    needed_on: date
    order_by: datetime | None
    moments: tuple[ChannelMoment, ...]

    def open_moments(self, at: datetime) -> list[ChannelMoment]:
        """Return the channels that can still bring it in time, the first to close first."""
        return [moment for moment in self.moments if moment.is_open(at)]

    def is_missed(self, at: datetime) -> bool:
        """Return whether every channel has closed."""
        return not self.open_moments(at)

    def next_close(self, at: datetime) -> datetime | None:
        """Return when the first channel that is still open closes."""
        return min((m.order_by for m in self.open_moments(at) if m.order_by), default=None)


def read_moments(channels: Iterable[Mapping[str, Any]]) -> tuple[ChannelMoment, ...]:
    """Return the channels' moments as a shortage's row keeps them."""
    return tuple(
        ChannelMoment(
            channel_id=row["channel_id"],
            kind=row["kind"],
            supplier=row["supplier"],
            order_by=datetime.fromisoformat(row["order_by"]).astimezone(LONDON)
            if row["order_by"]
            else None,
            arrives_on=date.fromisoformat(row["arrives_on"]) if row["arrives_on"] else None,
        )
        for row in channels
    )


def short_title(packs: str, item: str, *, one_run: bool) -> str:
    """Say what to order: 'Order 44 bags of harbour buff 2–6, all one run'."""
    return f"Order {packs} of {item}{', all one run' if one_run else ''}"


def moments_text(facts: ShortFacts, at: datetime) -> str:
    """Say each channel's last moment: 'Online from Quarry by 11:45; telephone … by 15:30.'."""
    still = facts.open_moments(at)
    if not facts.moments:
        return ""
    if not still:
        if facts.order_by is None:
            return f"Nobody can bring it by {day_words(facts.needed_on)}."
        return f"Every cut-off has passed; the last was {moment_text(facts.order_by, at)}."
    parts = [
        f"{moment.way} from {moment.supplier} by {moment_text(moment.order_by, at)}"
        for moment in still
        if moment.order_by
    ]
    text = "; ".join(parts)
    return f"{text[:1].upper()}{text[1:]}."


def moment_text(moment: datetime, at: datetime) -> str:
    """Write a moment: '11:45' today, else 'Tue 19 May 11:45'."""
    same = moment.astimezone(LONDON).date() == at.astimezone(LONDON).date()
    return wall(moment) if same else f"{day_words(moment)} {wall(moment)}"


# -- e-mail ------------------------------------------------------------------------------------


def reminder_subject(kind: str, facts: Sequence[ShortFacts], at: datetime) -> str:
    """Return the subject: the matter and its time first."""
    first = facts[0]
    if first.is_missed(at):
        when = "can no longer come in time"
    else:
        closes = first.next_close(at) if kind != ReminderKind.LAST_CALL else first.order_by
        when = f"by {moment_text(closes, at)}" if closes else ""
    head = {
        ReminderKind.DIGEST.value: "To order",
        ReminderKind.NEW.value: "Newly short",
        ReminderKind.LAST_CALL.value: "Last call",
    }[str(kind)]
    more = f" and {len(facts) - 1} more" if len(facts) > 1 else ""
    return f"{head} {when}: {first.title.removeprefix('Order ')}{more}"


def reminder_body(
    kind: str,
    name: str,
    facts: Sequence[ShortFacts],
    at: datetime,
    back_at: datetime,
    url: str,
) -> str:
    """Return the words of a reminder: what closes before we are next in, then the rest."""
    lead = {
        ReminderKind.DIGEST.value: "This is short for jobs that are won.",
        ReminderKind.NEW.value: "This has become short.",
        ReminderKind.LAST_CALL.value: "The last channel closes in an hour, or before we are back.",
    }[str(kind)]
    said = [f"{name},", "", lead]
    missed = [row for row in facts if row.is_missed(at)]
    soon = [row for row in facts if row not in missed and _closes_before(row, at, back_at)]
    later = [row for row in facts if row not in missed and row not in soon]
    for title, rows in (
        ("Too late on every channel: ring, change the day, or take it from another job", missed),
        (f"Closes before {day_words(back_at)}, when we are next in", soon),
        ("Later", later),
    ):
        if rows:
            said += ["", f"{title}:"]
            said += [_paragraph(row, at) for row in rows]
    return "\n".join([*said, "", f"Draft the order: {url}"])


def _closes_before(row: ShortFacts, at: datetime, back_at: datetime) -> bool:
    closes = row.next_close(at)
    return closes is not None and closes < back_at


def _paragraph(row: ShortFacts, at: datetime) -> str:
    closes = row.next_close(at)
    left = f" The first closes {how_long_left(closes, at)}." if closes else ""
    return f"- {row.title}\n  {row.why} {moments_text(row, at)}{left}"
