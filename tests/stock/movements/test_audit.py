"""auditstock names every planted difference, and nothing where all is well."""

from __future__ import annotations

import json
from decimal import Decimal
from io import StringIO
from typing import Any
from uuid import uuid4

import pytest
from django.core.management import call_command

from jobs.kernel.appendonly import remove_triggers
from stock.allocation.models import Requirement, Reservation, StoodIn
from stock.allocation.services import reserve_job
from stock.catalogue.models import Substitute
from stock.ledger.models import Balance, Lot
from stock.movements.queries import audit_stock
from stock.movements.services import ReturnRow, undo_posting
from tests.factories import AT, make_job, make_kit, make_lot, make_requirement, make_stone
from tests.stock.movements.test_services import BAG, bring_back, issue, reserved_job

pytestmark = pytest.mark.django_db


def run(*args: str) -> tuple[int, Any]:
    out = StringIO()
    try:
        call_command("auditstock", *args, stdout=out)
    except SystemExit as stop:
        return int(stop.code or 0), out.getvalue()
    return 0, out.getvalue()


@pytest.fixture
def lot() -> Lot:
    """A lot that was issued, partly brought back and split, beside one that is reserved."""
    reserved_job(make_kit(), 2)
    job, lot = reserved_job(make_stone(), 5)
    issue(job)
    bring_back(job, ReturnRow(lot.pk, 2 * BAG), ReturnRow(lot.pk, 5_000, opened=True))
    lot.refresh_from_db()
    return lot


def test_all_is_well(lot: Lot) -> None:
    assert audit_stock().differences == []
    code, text = run("--json")
    assert code == 0
    # 2 receipts, 1 issue, 2 rows of a return, 2 rows of a split
    assert json.loads(text) == {"ok": True, "lots": 3, "movements": 7, "differences": []}


def test_an_empty_book_agrees(db: None) -> None:
    assert run("--json")[0] == 0
    assert run() == (0, "0 lots and 0 movements re-added.\nEverything agrees.\n")


@pytest.mark.parametrize(
    ("field", "what"),
    [("on_hand", "in the yard"), ("at_sites", "at sites"), ("costed", "costed")],
)
def test_a_lots_sum_that_is_off_is_named(lot: Lot, field: str, what: str) -> None:
    Lot.objects.filter(pk=lot.pk).update(**{field: getattr(lot, field) + 1})
    code, text = run("--json")
    assert code == 1
    assert [row["what"] for row in json.loads(text)["differences"]] == [f"{lot.code} {what}"]


def test_a_balance_that_is_off_is_named(lot: Lot) -> None:
    row = Balance.objects.filter(lot=lot, quantity__gt=0).earliest("pk")
    Balance.objects.filter(pk=row.pk).update(quantity=row.quantity + 1)
    code, text = run()
    assert code == 1
    assert (
        f"{lot.code} in {row.place}: the book says {row.quantity + 1}, "
        f"it adds up to {row.quantity}." in text
    )


def test_a_reservation_that_the_lot_does_not_know_is_named(lot: Lot) -> None:
    kept = Reservation.objects.get()
    Reservation.objects.filter(pk=kept.pk).update(quantity=1)
    assert [row.what for row in audit_stock().differences] == [f"{kept.lot.code} reserved"]


def test_a_lot_of_which_more_was_taken_than_it_cost_is_named(lot: Lot) -> None:
    Lot.objects.filter(pk=lot.pk).update(cost=Decimal("1.00"))
    assert [row.what for row in audit_stock().differences] == [f"{lot.code} cost"]


def test_a_cost_entry_that_no_movement_made_is_named(lot: Lot) -> None:
    from jobs.costing.models import CostEntry

    entry = CostEntry.objects.earliest("pk")
    CostEntry.objects.create(
        job=entry.job, kind="actual", category="materials", what="twice", amount=entry.amount,
        day=entry.day, at=AT, source="stock.posting", source_id=entry.source_id, key="twice",
    )  # fmt: skip
    assert [row.what for row in audit_stock().differences] == [
        f"cost of posting {entry.source_id} on its job"
    ]


def test_a_missing_guard_is_named(lot: Lot) -> None:
    remove_triggers()
    assert any(row.found == "trigger stock_movement_no_update" for row in audit_stock().differences)


def test_a_requirement_that_forgot_what_was_issued_is_named(lot: Lot) -> None:
    row = Requirement.objects.get(item=lot.item)
    Requirement.objects.filter(pk=row.pk).update(issued=row.issued + BAG)
    (one,) = audit_stock().differences
    assert one.what == f"{lot.item.name} issued to {row.job.reference}"
    assert int(one.kept) - int(one.found) == BAG


def test_what_stood_in_counts_for_what_was_asked_by_the_record_made_then() -> None:
    asked, other = make_stone(name="Asked for", code="ASKED"), make_stone(name="Other")
    card = Substitute.objects.create(item=asked, stand_in=other)
    job = make_job(stage="won")
    row = make_requirement(job, asked, 3)
    # Some of the other stone is asked for as itself too.
    own = make_requirement(job, other, 2)
    lot = make_lot(other, 5)
    reserve_job(job_id=job.pk, by=None, at=AT)
    issued = issue(job)
    card.delete()
    assert audit_stock().differences == []

    # What stood in comes back first; an undone return goes where there is room.
    back = bring_back(job, ReturnRow(lot.pk, 4 * BAG))
    for one in (row, own):
        one.refresh_from_db()
    assert (row.issued, own.issued, audit_stock().ok) == (0, BAG, True)
    undo_posting(posting_id=back.pk, reason="miscounted", key=uuid4(), by=None, at=AT)
    for one in (row, own):
        one.refresh_from_db()
    assert (row.issued, own.issued, audit_stock().ok) == (3 * BAG, 2 * BAG, True)

    record = StoodIn.objects.get()
    assert (record.requirement, record.lot, record.quantity) == (row, lot, 3 * BAG)
    StoodIn.objects.update(quantity=BAG)
    # The other stone is two bags over by the movements, the asked one two bags short of them.
    assert {one.what for one in audit_stock().differences} == {
        f"Asked for issued to {job.reference}", f"Other issued to {job.reference}"
    }  # fmt: skip
    StoodIn.objects.update(quantity=3 * BAG)
    undo_posting(posting_id=issued.pk, reason="wrong job", key=uuid4(), by=None, at=AT)
    assert StoodIn.objects.get().quantity == 0
    assert audit_stock().ok
