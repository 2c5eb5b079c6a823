"""Who is told of what, when, and only once."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any

import pytest

from jobs.kernel.clock import LONDON
from jobs.outbox.models import Message
from stock.ordering.enums import ReminderKind, ReminderState
from stock.ordering.models import Reminder, Shortage
from stock.ordering.services import (
    hand_due_reminders,
    make_reminders,
    place_order,
    sweep_shortages,
)
from tests.factories import (
    AT,
    make_booking,
    make_job,
    make_price,
    make_requirement,
    make_stone,
    make_supplier,
)
from tests.stock.ordering.world import drafted, placed, short_job, swept

pytestmark = pytest.mark.django_db


def london(*parts: int) -> datetime:
    return datetime(*parts, tzinfo=LONDON)  # type: ignore[arg-type, misc]


def sweep(at: datetime) -> int:
    """Do what the task does, and return how many messages went out."""
    sweep_shortages(at=at)
    make_reminders(at=at)
    return hand_due_reminders(at=at)


def of(kind: str) -> list[Reminder]:
    return list(Reminder.objects.filter(kind=kind).order_by("due_at"))


def test_digest_goes_at_seven_once_a_day_to_those_who_order(
    storeman: Any, office: Any, crew: Any, accountant: Any
) -> None:
    short_job()
    assert sweep(london(2026, 5, 14, 7, 0)) == 2
    assert sweep(london(2026, 5, 14, 7, 5)) == 0
    assert {row.user for row in of(ReminderKind.DIGEST)} == {storeman, office}
    assert {row.due_at for row in of(ReminderKind.DIGEST)} == {london(2026, 5, 14, 7, 0)}
    assert set(Message.objects.values_list("to", flat=True)) == {storeman.email, office.email}
    assert sweep(london(2026, 5, 15, 7, 0)) == 2


def test_person_of_several_roles_gets_one_digest() -> None:
    from tests.factories import make_user

    make_user("owner", "storeman", "office")
    short_job()
    assert sweep(london(2026, 5, 14, 8, 0)) == 1


def test_digest_says_what_to_order_and_by_when(storeman: Any) -> None:
    shortage = swept()
    sweep(london(2026, 5, 14, 7, 0))
    message = Message.objects.get()
    assert message.subject == f"To order by 11:45: 44 bags of {shortage.item}, all one run"
    supplier = shortage.channels[0]["supplier"]
    assert f"Online from {supplier} by 11:45; telephone from {supplier} by 15:30." in message.body
    assert "The first closes in 4\u00a0h 45\u00a0min." in message.body
    assert "Closes before Fri 15 May, when we are next in:" in message.body
    assert "/orders/clock/" in message.body


def test_shortage_after_the_digest_is_mailed_by_the_next_sweep(storeman: Any) -> None:
    short_job()
    sweep(london(2026, 5, 14, 7, 0))
    late = make_job(stage="won")
    stone = make_stone()
    make_price(make_supplier(), stone)
    make_requirement(late, stone, 3)
    assert sweep(london(2026, 5, 14, 9, 1)) == 1
    (new,) = of(ReminderKind.NEW)
    assert [row.job for row in new.shortages.all()] == [late]
    assert sweep(london(2026, 5, 14, 9, 2)) == 0


@pytest.mark.parametrize("hour", [0, 3, 6])
def test_shortage_before_the_digest_is_mailed_at_once_too(storeman: Any, hour: int) -> None:
    short_job()
    assert sweep(london(2026, 5, 14, hour, 30)) == 1
    assert of(ReminderKind.NEW)[0].state == ReminderState.SENT


def test_day_on_which_we_are_closed_has_no_digest(storeman: Any) -> None:
    short_job()
    sweep(london(2026, 5, 15, 7, 0))
    assert sweep(london(2026, 5, 16, 7, 0)) == 0  # Saturday
    assert sweep(london(2026, 5, 18, 7, 0)) == 1


def test_last_call_goes_an_hour_before_the_last_channel_closes(storeman: Any) -> None:
    short_job()
    sweep(london(2026, 5, 14, 7, 0))
    assert sweep(london(2026, 5, 14, 14, 29)) == 0
    assert sweep(london(2026, 5, 14, 14, 30)) == 1
    (call,) = of(ReminderKind.LAST_CALL)
    assert (call.due_at, call.state) == (london(2026, 5, 14, 14, 30), ReminderState.SENT)
    assert Message.objects.latest("pk").subject.startswith("Last call by 15:30: 44 bags")
    assert sweep(london(2026, 5, 14, 14, 31)) == 0


def test_last_call_goes_before_a_day_when_we_are_closed(storeman: Any) -> None:
    """The supplier also takes orders on Saturday; we are not there then."""
    from datetime import time

    from stock.suppliers.models import Channel

    supplier = make_supplier(works="1111110", delivers="1111110")
    stone = make_stone()
    make_price(supplier, stone)
    channel = Channel.objects.get(supplier=supplier, kind="telephone")
    channel.cutoffs.create(weekday=5, wall_time=time(12))
    job = make_job(stage="booked")
    make_requirement(job, stone, 3)
    make_booking(job, day=date(2026, 5, 20))
    sweep(london(2026, 5, 14, 7, 0))
    # Needed Tue 19 May; two days after Saturday is Tuesday.
    assert Shortage.objects.get().order_by == london(2026, 5, 16, 12)
    (call,) = of(ReminderKind.LAST_CALL)
    assert call.due_at == london(2026, 5, 15, 15, 0)


def test_last_call_is_for_who_has_it_in_a_draft(storeman: Any, office: Any) -> None:
    drafted(swept(), by=office)
    make_reminders(at=AT)
    assert [row.user for row in of(ReminderKind.LAST_CALL)] == [office]


def test_no_reminder_for_what_is_on_a_placed_order(storeman: Any) -> None:
    shortage = swept()
    make_reminders(at=AT)
    place_order(order_id=drafted(shortage, storeman).pk, by=storeman, at=AT)
    assert hand_due_reminders(at=london(2026, 5, 14, 14, 30)) == 0
    assert sweep(london(2026, 5, 14, 14, 30)) == 0
    assert set(Reminder.objects.values_list("state", flat=True)) == {ReminderState.DROPPED}


def test_last_call_moves_with_the_booking(storeman: Any) -> None:
    job = short_job()
    sweep(london(2026, 5, 14, 7, 0))
    job.bookings.update(first_day=date(2026, 5, 21), last_day=date(2026, 5, 21))
    sweep(london(2026, 5, 14, 8, 0))
    first, second = of(ReminderKind.LAST_CALL)
    assert (first.state, second.state) == (ReminderState.DROPPED, ReminderState.DUE)
    assert second.due_at == london(2026, 5, 18, 14, 30)
    job.bookings.update(first_day=date(2026, 5, 19), last_day=date(2026, 5, 19))
    sweep(london(2026, 5, 14, 9, 0))
    first.refresh_from_db()
    assert first.state == ReminderState.DUE


def test_what_arises_within_the_last_hour_is_told_once(storeman: Any) -> None:
    short_job()
    assert sweep(london(2026, 5, 14, 15, 0)) == 1
    assert sweep(london(2026, 5, 14, 15, 1)) == 0


def test_shortage_that_can_no_longer_come_says_so(storeman: Any) -> None:
    short_job()
    sweep(london(2026, 5, 14, 16, 0))
    message = Message.objects.get()
    assert message.subject.startswith("To order can no longer come in time: 44 bags")
    assert "Every cut-off has passed; the last was 15:30." in message.body


def test_person_who_left_gets_nothing(storeman: Any) -> None:
    short_job()
    sweep_shortages(at=AT)
    make_reminders(at=AT)
    storeman.is_active = False
    storeman.save()
    assert hand_due_reminders(at=AT) == 0


def test_ordering_everything_silences_the_next_digest(storeman: Any) -> None:
    placed(swept(), storeman)
    assert sweep(london(2026, 5, 15, 7, 0)) == 0


def test_sweep_task_records_its_run(storeman: Any, monkeypatch: Any) -> None:
    from jobs.kernel.models import TaskRun
    from stock.ordering import tasks

    monkeypatch.setattr(tasks, "now", lambda: AT + timedelta(minutes=3))
    short_job()
    tasks.sweep()
    run = TaskRun.objects.get(name="stock.ordering.sweep")
    assert run.outcome == "1 short, 1 of them new, 0 ended; 2 reminders made, 1 sent"
    assert not run.failed
