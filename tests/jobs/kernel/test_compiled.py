"""Compiled statements give what the ORM itself gives, in text, in rows and in what they refuse."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import timedelta
from typing import Any

import pytest
from django.db import DatabaseError, connection, models, transaction
from django.test.utils import CaptureQueriesContext

from jobs.audit.models import Event
from jobs.calendar.queries import days
from jobs.kernel.compiled import FIRST_MARK, LONGEST, CompiledQuery, insert_row, update_row
from stock.allocation.models import Reservation
from stock.allocation.queries import views
from stock.allocation.queries.horizon import OF_NEEDS
from stock.allocation.services import requirements, reserving
from stock.catalogue.models import Item, Substitute
from stock.ledger.models import Lot
from tests.factories import (
    AT,
    DAY,
    make_booking,
    make_job,
    make_kit,
    make_lot,
    make_requirement,
    make_user,
)

pytestmark = pytest.mark.django_db
Counted = Callable[[int], AbstractContextManager[Any]]


@pytest.fixture
def world() -> None:
    """Three items with lots, jobs that want them, bookings, a reservation and a stand-in."""
    for number in range(3):
        item, job = make_kit(), make_job(stage="won")
        lot = make_lot(item, 20, expiry=DAY + timedelta(days=90 + number))
        make_lot(item, 10)
        need = make_requirement(job, item, 4)
        make_booking(job, day=DAY + timedelta(days=number))
        Reservation.objects.create(requirement=need, lot=lot, quantity=1, made_at=AT)
    first, second, _ = Item.objects.order_by("pk")
    Substitute.objects.create(item=first, stand_in=second)


def values_of(row: Any) -> Any:
    """Return all that was loaded of a row: fields, and those of related rows that came along."""
    if not isinstance(row, models.Model):
        return row
    loaded = {name: value for name, value in row.__dict__.items() if name != "_state"}
    cached = row._state.fields_cache
    return type(row), loaded, {name: values_of(other) for name, other in cached.items()}


def queries() -> dict[str, tuple[CompiledQuery, list[type[models.Model]] | type[models.Model]]]:
    from jobs.work.models import Job
    from stock.allocation.models import Requirement

    return {
        "locked requirements": (requirements.LOCKED, Job),
        "requirements": (requirements.UNLOCKED, Job),
        "locked lots": (reserving.LOCKED_LOTS, [Item]),
        "lots": (reserving.UNLOCKED_LOTS, [Item]),
        "reservations": (OF_NEEDS, [Requirement]),
        "places": (views.PLACES_OF_LOTS, [Lot]),
        "stand-ins": (views.STAND_INS, [Item]),
        "phases": (days.BOOKED_PHASES, [Job]),
    }


@pytest.mark.parametrize("name", queries())
def test_every_kept_query_sends_and_gives_what_the_orm_does(name: str, world: None) -> None:
    query, of = queries()[name]
    model = of[0] if isinstance(of, list) else of
    ids = list(model._base_manager.order_by("pk").values_list("pk", flat=True))
    for _ in range(2):  # compiled, and then kept
        for few in ([ids[0]], [ids[0], ids[2]], [ids[1]]):
            value: Any = few if isinstance(of, list) else few[0]
            with CaptureQueriesContext(connection) as ours:
                found = query.rows(value)
            with CaptureQueriesContext(connection) as theirs:
                expected = list(query.build(value))
            assert [values_of(row) for row in found] == [values_of(row) for row in expected]
            assert [q["sql"] for q in ours.captured_queries] == [
                q["sql"] for q in theirs.captured_queries
            ]
    assert any(query.rows(ids if isinstance(of, list) else one) for one in ids)


def test_an_empty_list_and_a_long_one_are_answered_too(
    world: None, django_assert_num_queries: Counted
) -> None:
    with django_assert_num_queries(0):
        assert reserving.UNLOCKED_LOTS.rows([]) == []
    item = Item.objects.earliest("pk")
    many = [item.pk, *range(10**6, 10**6 + LONGEST)]
    assert reserving.UNLOCKED_LOTS.rows(many) == list(Lot.objects.filter(item=item).order_by("pk"))
    assert all(size <= LONGEST for _, (size,) in reserving.UNLOCKED_LOTS.kept if size)


def test_a_value_that_the_statement_does_not_hold_is_an_error(world: None) -> None:
    forgetful = CompiledQuery(lambda _: Lot.objects.all())
    with pytest.raises(ValueError, match="does not stand in its statement"):
        forgetful.rows(1)
    assert reserving.UNLOCKED_LOTS.rows([FIRST_MARK]) == []


@pytest.mark.django_db(transaction=True)
def test_rows_are_locked_in_a_transaction_only() -> None:
    job = make_job(stage="won")
    with transaction.atomic():
        requirements.LOCKED.rows(job.pk)
    with pytest.raises(RuntimeError, match="call it in a transaction"):
        requirements.LOCKED.rows(job.pk)


def event(**values: Any) -> Event:
    return Event(
        at=AT, verb="stock.reserve", subject_type="jobs.job", subject_id=7, before={},
        after={"L-1": 3, "ü": [None, "x"]}, **values,
    )  # fmt: skip


def test_an_inserted_row_is_what_save_would_have_written() -> None:
    for by in (None, make_user("storeman")):
        ours, theirs = event(by=by), event(by=by)
        with CaptureQueriesContext(connection) as inserted:
            insert_row(ours)
        with CaptureQueriesContext(connection) as saved:
            theirs.save()
        assert inserted.captured_queries[0]["sql"] == saved.captured_queries[0]["sql"]
        assert (len(inserted), ours.pk + 1, ours._state.adding) == (1, theirs.pk, False)
        read = list(Event.objects.filter(pk__in=[ours.pk, theirs.pk]).order_by("pk").values())
        assert {**read[0], "id": 0} == {**read[1], "id": 0}
        assert read[0]["after"] == {"L-1": 3, "ü": [None, "x"]}


def test_an_updated_row_is_what_save_would_have_written(world: None) -> None:
    lot = Lot.objects.earliest("pk")
    lot.reserved, lot.run, lot.expiry = 3, "R'1 %s", None
    lot.code = "not written"
    names = ["reserved", "run", "expiry"]
    with CaptureQueriesContext(connection) as updated:
        update_row(lot, *names)
    read = Lot.objects.get(pk=lot.pk)
    assert (read.reserved, read.run, read.expiry) == (3, "R'1 %s", None)
    assert read.code != "not written"
    lot.expiry = DAY
    with CaptureQueriesContext(connection) as ours:
        update_row(lot, "expiry", "reserved")
    with CaptureQueriesContext(connection) as saved:
        Lot.objects.filter(pk=lot.pk).update(expiry=DAY, reserved=3)
    assert ours.captured_queries[0]["sql"] == saved.captured_queries[0]["sql"]
    assert len(updated) == 1
    lot.pk = 10**6
    with pytest.raises(DatabaseError, match="not there"):
        update_row(lot, "reserved")
