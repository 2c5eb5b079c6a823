"""Hours post their cost once, at the rate of their day; a counter-entry takes it back."""

from __future__ import annotations

import threading
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.db import DatabaseError, connection, connections, transaction
from django.db.models import Sum

from jobs.costing.models import CostEntry, Hours
from jobs.costing.services import enter_hours, post_cost, withdraw_hours
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import KeyUsedError
from jobs.people.models import PayRate, Person
from jobs.people.services import set_pay_rate
from jobs.work.models import Job
from tests.factories import AT, DAY, make_job, make_person

pytestmark = pytest.mark.django_db(transaction=True)
ONE = timedelta(days=1)


def enter(job: Job, person: Person, hours: str = "8", **more: Any) -> Hours:
    values: dict[str, Any] = {
        "job_id": job.pk, "person_id": person.pk, "day": DAY, "kind": "work",
        "minutes": int(Decimal(hours) * 60), "uid": uuid4(), "by": None, "at": AT,
    }  # fmt: skip
    return enter_hours(**values | more)


def cost(**more: Any) -> CostEntry:
    values: dict[str, Any] = {
        "kind": "actual", "category": "materials", "what": "3 bags", "amount": Decimal("12.34"),
        "day": DAY, "source": "stock.movement", "source_id": 1, "key": f"k:{uuid4()}",
        "by": None, "at": AT,
    }  # fmt: skip
    with transaction.atomic():
        return post_cost(**values | more)


def test_hours_cost_the_rate_of_their_day() -> None:
    job, person = make_job(stage="won"), make_person(hourly="22.5")
    set_pay_rate(person_id=person.pk, hourly=Decimal(24), valid_from=DAY, by=None, at=AT)
    enter(job, person, "7.5", day=DAY - ONE)
    enter(job, person, "7.5")
    amounts = CostEntry.objects.order_by("day").values_list("amount", "quantity", "unit")
    assert list(amounts) == [
        (Decimal("168.75"), Decimal("7.5"), "h"), (Decimal("180.00"), Decimal("7.5"), "h"),
    ]  # fmt: skip


def test_a_later_rate_leaves_hours_entered_before_as_they_were() -> None:
    job, person = make_job(stage="won"), make_person(hourly="20")
    hours = enter(job, person)
    set_pay_rate(person_id=person.pk, hourly=Decimal(30), valid_from=DAY, by=None, at=AT)
    withdraw_hours(hours_id=hours.pk, by=None, at=AT)
    assert CostEntry.objects.aggregate(sum=Sum("amount"))["sum"] == 0


@pytest.mark.parametrize(
    ("kind", "category"), [("work", "labour"), ("standing", "labour"), ("travel", "travel")]
)
def test_each_kind_has_its_category(kind: str, category: str) -> None:
    enter(make_job(stage="won"), make_person(), kind=kind)
    assert CostEntry.objects.get().category == category


def test_a_third_of_an_hour_is_rounded_half_up_once() -> None:
    enter(make_job(stage="won"), make_person(hourly="22.45"), minutes=20)
    # 20 / 60 × 22.45 = 7.48333…
    assert CostEntry.objects.get().amount == Decimal("7.48")


def test_the_same_press_twice_posts_once() -> None:
    job, person, uid = make_job(stage="won"), make_person(), uuid4()
    assert enter(job, person, uid=uid) == enter(job, person, uid=uid)
    assert (Hours.objects.count(), CostEntry.objects.count()) == (1, 1)


def test_taking_back_leaves_both_in_the_record() -> None:
    hours = enter(make_job(stage="won"), make_person())
    for _ in range(2):
        withdraw_hours(hours_id=hours.pk, by=None, at=AT)
    first, back = CostEntry.objects.order_by("pk")
    assert (back.amount, back.quantity, back.reverses) == (-first.amount, Decimal(-8), first)
    assert back.day == first.day
    hours.refresh_from_db()
    assert hours.withdrawn_at == AT


def test_more_than_sixteen_hours_over_all_jobs_are_refused() -> None:
    person = make_person(name="Bea")
    enter(make_job(stage="won"), person, "10")
    there = enter(make_job(stage="won"), person, "6")  # sixteen in all may be
    with pytest.raises(ServiceError, match=r"Bea would have 16\.2 h") as refused:
        enter(make_job(stage="won"), person, "0.25")
    assert refused.value.field == "hours"
    enter(make_job(stage="won"), person, "10", day=DAY - ONE)
    withdraw_hours(hours_id=there.pk, by=None, at=AT)
    enter(make_job(stage="won"), person, "6")


def test_nobody_works_for_an_unknown_cost() -> None:
    person = make_person(name="Bea")
    PayRate.objects.update(valid_from=DAY)
    with pytest.raises(ServiceError) as refused:
        enter(make_job(stage="won"), person, day=DAY - ONE)
    assert refused.value.message == (
        "What an hour of Bea costs is not known for 13 May 2026; set the rate."
    )
    assert not Hours.objects.exists()


@pytest.mark.parametrize(
    ("more", "field"),
    [({"day": DAY + ONE}, "day"), ({"minutes": 0}, "hours"), ({"minutes": -60}, "hours")],
)
def test_impossible_hours_are_refused(more: dict[str, Any], field: str) -> None:
    with pytest.raises(ServiceError) as refused:
        enter(make_job(stage="won"), make_person(), **more)
    assert refused.value.field == field


@pytest.mark.parametrize("stage", ["enquiry", "surveyed", "quoted", "lost", "cancelled"])
def test_a_job_that_was_not_won_takes_no_hours(stage: str) -> None:
    lost_reason = "price" if stage == "lost" else ""
    with pytest.raises(ServiceError) as refused:
        enter(make_job(stage=stage, lost_reason=lost_reason), make_person())
    assert refused.value.field == "job"


def test_a_cost_stands_once_for_its_occasion() -> None:
    job = make_job(stage="won")
    first = cost(job=job, key="stock.movement:1")
    assert cost(job=job, key="stock.movement:1") == first
    with pytest.raises(KeyUsedError):
        cost(job=job, key="stock.movement:1", amount=Decimal("12.35"))
    with pytest.raises(KeyUsedError):
        cost(job=make_job(stage="won"), key="stock.movement:1")


def test_a_cost_is_part_of_a_transaction() -> None:
    with pytest.raises(RuntimeError, match="in a transaction"):
        post_cost(
            job=make_job(), kind="actual", category="other", what="x", amount=Decimal(1), day=DAY,
            source="x", source_id=1, key="x", by=None, at=AT,
        )  # fmt: skip


@pytest.mark.parametrize("write", ["update", "delete"])
def test_the_ledger_is_written_once(write: str) -> None:
    rows = CostEntry.objects.filter(pk=cost(job=make_job()).pk)
    write_it = {"update": lambda: rows.update(amount=Decimal(1)), "delete": rows.delete}[write]
    with pytest.raises(DatabaseError), transaction.atomic():
        write_it()
    assert CostEntry.objects.get().amount == Decimal("12.34")


def race(lock: bool) -> list[str]:
    """Ten hours on two jobs, sent at once for one person; returns what each got."""
    person, jobs = make_person(), [make_job(stage="won"), make_job(stage="won")]
    barrier, answers = threading.Barrier(2), []

    def send(job: Job) -> None:
        barrier.wait(5)
        try:
            if lock:
                enter(job, person, "10")
            else:
                # The control differs in the lock alone: it looks, the other looks, both go on.
                there = Hours.objects.filter(person=person, withdrawn_at=None)
                seen = there.aggregate(sum=Sum("minutes"))["sum"] or 0
                barrier.wait(5)
                if seen + 600 > 960:
                    answers.append("refused")
                    return
            answers.append("entered")
        except ServiceError:
            answers.append("refused")
        finally:
            connections.close_all()

    threads = [threading.Thread(target=send, args=(job,)) for job in jobs]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(20)
    return sorted(answers)


@pytest.mark.postgres
def test_two_screens_do_not_pass_sixteen_hours_together() -> None:
    assert connection.vendor == "postgresql"
    assert race(lock=False) == ["entered", "entered"]
    assert race(lock=True) == ["entered", "refused"]


def test_a_day_is_londons(at: datetime) -> None:
    # British Summer Time (Summer Time Act 1972): 23:30 UTC on 13 May is 00:30 on the 14th here.
    late = datetime.fromisoformat("2026-05-13T23:30:00+00:00")
    assert enter(make_job(stage="won"), make_person(), day=date(2026, 5, 14), at=late)
