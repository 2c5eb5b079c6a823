"""32 clients (8 on SQLite) reserve, issue and return against the same lots at once.

Nothing may fall below nothing, nothing may be lost, and every client gets an answer: done, or a
refusal in a sentence. A deadlock or a busy database that reaches a client fails the test. The
control is the same clients with `lock=False`: it must lose updates on PostgreSQL, or the test
proves nothing.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Any
from uuid import uuid4

import pytest
from django.db import transaction

from jobs.kernel.errors import ServiceError
from stock.allocation.models import Requirement, Reservation
from stock.allocation.services import reserve_job
from stock.ledger.models import KeptBack, Lot, Posting
from stock.ledger.queries import place
from stock.ledger.services import Row, keep_back, post_movements
from stock.movements.queries import audit_stock
from stock.movements.services import ReturnRow, issue_job, return_from_site
from tests.environment import ON_POSTGRES
from tests.factories import AT, DAY, make_job, make_kit, make_lot, make_place, make_requirement
from tests.stock.movements.test_races import all_at_once

CLIENTS = 32 if ON_POSTGRES else 8
ROUNDS = 1
PLENTY = 1000


@dataclass
class Yard:
    """Two lots in one bay that all clients want, and a job with its site for each client."""

    bay: Any
    lots: list[Lot]
    jobs: list[Any]

    @property
    def total(self) -> int:
        found = [Lot.objects.get(pk=lot.pk) for lot in self.lots]
        return sum(lot.on_hand + lot.at_sites for lot in found)


def yard(packs: int, wanted: int) -> Yard:
    kit, bay = make_kit(), make_place()
    jobs = [make_job(stage="won") for _ in range(CLIENTS)]
    for job in jobs:
        make_requirement(job, kit, wanted)
        place("site", job)
    return Yard(bay, [make_lot(kit, packs, place=bay) for _ in range(2)], jobs)


def client(yard: Yard, job: Any, *, lock: bool) -> Callable[[], str]:
    """Return a client that reserves, then issues one kit of each lot and brings it back."""
    site = place("site", job)

    def post(kind: str, start: Any, end: Any) -> None:
        with transaction.atomic():
            post_movements(
                key=uuid4(), kind=kind, job_id=job.pk, day=DAY, by=None, at=AT, lock=lock,
                rows=[Row(lot.pk, 1, start.pk, end.pk) for lot in yard.lots],
            )  # fmt: skip

    def work() -> str:
        reserve_job(job_id=job.pk, by=None, at=AT, lock=lock)
        for _ in range(ROUNDS):
            post("issue", yard.bay, site)
            post("return", site, yard.bay)
        return "done"

    return work


@pytest.mark.django_db(transaction=True)
def test_clients_who_lock_lose_nothing() -> None:
    there = yard(PLENTY, 3)
    answers = all_at_once([client(there, job, lock=True) for job in there.jobs])
    assert answers == ["done"] * CLIENTS
    lots = [Lot.objects.get(pk=lot.pk) for lot in there.lots]
    assert [lot.on_hand for lot in lots] == [PLENTY, PLENTY]
    assert sum(lot.reserved for lot in lots) == 3 * CLIENTS
    assert Posting.objects.filter(kind="issue").count() == CLIENTS * ROUNDS
    assert audit_stock().differences == []


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_the_control_that_differs_only_in_the_lock_loses_updates() -> None:
    there = yard(PLENTY, 3)
    all_at_once([client(there, job, lock=False) for job in there.jobs])
    named = {row.what for row in audit_stock().differences}
    assert any(f"{there.lots[0].code} " in what for what in named)


def keepers(*, lock: bool) -> Lot:
    """Half of the clients keep a kit of one lot back, half reserve one for a job, at once."""
    kit = make_kit()
    lot = make_lot(kit, PLENTY)
    jobs = [make_job(stage="won") for _ in range(CLIENTS)]
    for job in jobs[::2]:
        make_requirement(job, kit, 1)
    works: list[Callable[[], Any]] = [
        partial(reserve_job, job_id=job.pk, by=None, at=AT, lock=lock)
        if number % 2 == 0
        else partial(
            keep_back, lot_id=lot.pk, job_id=job.pk, quantity=1, until=DAY, key=uuid4(), by=None,
            at=AT, lock=lock,
        )
        for number, job in enumerate(jobs)
    ]  # fmt: skip
    all_at_once(works)
    return Lot.objects.get(pk=lot.pk)


@pytest.mark.django_db(transaction=True)
def test_what_is_kept_back_and_what_is_reserved_at_once_are_both_counted() -> None:
    lot = keepers(lock=True)
    assert (lot.reserved, KeptBack.objects.count()) == (CLIENTS, CLIENTS // 2)
    assert audit_stock().differences == []


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_keeping_back_without_the_lock_loses_some() -> None:
    lot = keepers(lock=False)
    held = KeptBack.objects.count() + Reservation.objects.count()
    assert lot.reserved < held


def whole_way(job: Any, bay: Any) -> str:
    """Reserve, issue, bring one kit back: a clerk's day with one job."""
    reserve_job(job_id=job.pk, by=None, at=AT)
    issue_job(job_id=job.pk, key=uuid4(), day=DAY, by=None, at=AT)
    row = place("site", job).balances.filter(quantity__gt=0).earliest("pk")
    return_from_site(
        job_id=job.pk, rows=[ReturnRow(row.lot_id, 1)], place_id=bay.pk, key=uuid4(), day=DAY,
        by=None, at=AT,
    )  # fmt: skip
    return "done"


@pytest.mark.django_db(transaction=True)
def test_clients_of_scarce_lots_are_served_or_refused_in_a_sentence() -> None:
    """Each wants three of 1.5 kits a head: about half are refused, and nothing goes wrong."""
    there = yard(CLIENTS * 3 // 4, 3)
    before = there.total
    answers = all_at_once([partial(whole_way, job, there.bay) for job in there.jobs])
    served = answers.count("done")
    refused = [answer for answer in answers if isinstance(answer, ServiceError)]
    assert served + len(refused) == CLIENTS, [a for a in answers if a not in ("done", *refused)]
    assert served >= CLIENTS // 2
    assert all(refusal.message.endswith(".") for refusal in refused)
    assert there.total == before
    assert Reservation.objects.count() == 0
    drawn = Requirement.objects.values_list("issued", flat=True)
    assert sum(drawn) == sum(Lot.objects.values_list("at_sites", flat=True))
    assert audit_stock().differences == []
