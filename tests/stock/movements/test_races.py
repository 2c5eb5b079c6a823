"""Many clerks at once against the same lots: nothing below nothing, nothing lost.

SQLite serialises writers, so only PostgreSQL can show a lost update; the control differs from the
test in `lock=False` alone and must lose some.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from functools import partial
from threading import Barrier
from typing import Any
from uuid import uuid4

import pytest
from django.db import DatabaseError, connection, transaction

from jobs.kernel.errors import ServiceError
from stock.allocation.services import reserve_job
from stock.ledger.models import Lot, Posting
from stock.ledger.queries import place
from stock.ledger.services import Row, post_movements
from stock.movements.queries import audit_stock
from stock.movements.services import ReturnRow, issue_job, return_from_site
from tests.factories import AT, DAY, make_job, make_kit, make_lot, make_place, make_requirement

CLERKS = 8


@contextmanager
def own_connection() -> Iterator[None]:
    try:
        yield
    finally:
        connection.close()


def all_at_once(works: list[Callable[[], Any]]) -> list[Any]:
    """Run each work in a thread of its own, all started together; answers or refusals in order."""
    barrier = Barrier(len(works))

    def one(work: Callable[[], Any]) -> Any:
        with own_connection():
            barrier.wait()
            try:
                return work()
            except (ServiceError, DatabaseError) as refusal:
                return refusal

    with ThreadPoolExecutor(len(works)) as pool:
        return list(pool.map(one, works))


def wasting(lot: Lot, bay: Any, *, lock: bool) -> Callable[[], int]:
    """Return a clerk who wastes one kit after the other, and says how many were booked."""
    bin_place = place("waste")

    def work() -> int:
        done = 0
        for _ in range(10):
            with transaction.atomic():
                post_movements(
                    key=uuid4(), kind="waste", rows=[Row(lot.pk, 1, bay.pk, bin_place.pk)],
                    day=DAY, by=None, at=AT, lock=lock,
                )  # fmt: skip
            done += 1
        return done

    return work


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_clerks_who_lock_lose_nothing() -> None:
    bay = make_place()
    lot = make_lot(make_kit(), 200, place=bay)
    answers = all_at_once([wasting(lot, bay, lock=True) for _ in range(CLERKS)])
    lot.refresh_from_db()
    assert answers == [10] * CLERKS
    assert lot.on_hand == 200 - 10 * CLERKS
    assert audit_stock().differences == []


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_the_control_without_the_lock_loses_updates() -> None:
    bay = make_place()
    lot = make_lot(make_kit(), 200, place=bay)
    all_at_once([wasting(lot, bay, lock=False) for _ in range(CLERKS)])
    booked = Posting.objects.filter(kind="waste").count()
    lot.refresh_from_db()
    assert lot.on_hand > 200 - booked
    assert audit_stock().differences != []


def jobs_for(kit: Any, count: int, packs: int) -> list[Any]:
    jobs = [make_job(stage="won") for _ in range(count)]
    for job in jobs:
        make_requirement(job, kit, packs)
    return jobs


@pytest.mark.django_db(transaction=True)
def test_reservations_of_many_jobs_never_exceed_what_is_there() -> None:
    """Also on SQLite, where the writers wait for each other."""
    kit = make_kit()
    lots = [make_lot(kit, 10), make_lot(kit, 10)]
    jobs = jobs_for(kit, CLERKS, 4)
    all_at_once([partial(reserve_job, job_id=job.pk, by=None, at=AT) for job in jobs])
    assert sum(Lot.objects.get(pk=lot.pk).reserved for lot in lots) == 20
    assert audit_stock().differences == []


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_the_control_reserves_what_another_has_reserved() -> None:
    kit = make_kit()
    make_lot(kit, 10)
    jobs = jobs_for(kit, CLERKS, 4)
    all_at_once([partial(reserve_job, job_id=job.pk, by=None, at=AT, lock=False) for job in jobs])
    assert audit_stock().differences != []


@pytest.mark.django_db(transaction=True)
def test_one_key_from_many_clerks_issues_once() -> None:
    kit = make_kit()
    lot = make_lot(kit, 10)
    (job,) = jobs_for(kit, 1, 4)
    reserve_job(job_id=job.pk, by=None, at=AT)
    key = uuid4()
    answers = all_at_once(
        [lambda: issue_job(job_id=job.pk, key=key, day=DAY, by=None, at=AT)] * CLERKS
    )
    assert {answer.pk for answer in answers} == {Posting.objects.get(kind="issue").pk}
    lot.refresh_from_db()
    assert (lot.on_hand, lot.at_sites) == (6, 4)


@pytest.mark.django_db(transaction=True)
def test_reserving_issuing_and_returning_at_once_keeps_the_book() -> None:
    kit, bay = make_kit(), make_place()
    lots = [make_lot(kit, 8, place=bay) for _ in range(3)]
    jobs = jobs_for(kit, CLERKS, 3)

    def round_trip(job: Any) -> str:
        reserve_job(job_id=job.pk, by=None, at=AT)
        issue_job(job_id=job.pk, key=uuid4(), day=DAY, by=None, at=AT)
        site = place("site", job)
        row = site.balances.filter(quantity__gt=0).earliest("pk")
        return_from_site(
            job_id=job.pk, rows=[ReturnRow(row.lot_id, 1)], place_id=bay.pk, key=uuid4(), day=DAY,
            by=None, at=AT,
        )  # fmt: skip
        return "done"

    answers = all_at_once([partial(round_trip, job) for job in jobs])
    # 24 kits for 8 jobs of 3, and what comes back may go out again: never a crash.
    assert [answer for answer in answers if not isinstance(answer, str | ServiceError)] == []
    there = [Lot.objects.get(pk=lot.pk) for lot in lots]
    assert sum(lot.on_hand + lot.at_sites for lot in there) == 24
    assert answers.count("done") == CLERKS
    assert audit_stock().differences == []
