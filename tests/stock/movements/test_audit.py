"""auditstock names every planted difference, and nothing where all is well."""

from __future__ import annotations

import json
from decimal import Decimal
from io import StringIO
from typing import Any

import pytest
from django.core.management import call_command

from jobs.kernel.appendonly import remove_triggers
from stock.allocation.models import Requirement, Reservation
from stock.catalogue.models import Substitute
from stock.ledger.models import Balance, Lot
from stock.movements.queries import audit_stock
from stock.movements.queries.audit import heads_of
from stock.movements.services import ReturnRow
from tests.factories import AT, make_kit, make_stone
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


def test_what_stood_in_counts_for_what_was_asked(lot: Lot) -> None:
    asked = make_stone(name="Asked for", code="ASKED")
    row = Requirement.objects.get(item=lot.item)
    Requirement.objects.filter(pk=row.pk).update(item=asked)
    (one,) = audit_stock().differences
    assert (one.what, one.found) == (f"Asked for issued to {row.job.reference}", "0")

    Substitute.objects.create(item=asked, stand_in=lot.item)
    assert audit_stock().differences == []
    Requirement.objects.filter(pk=row.pk).update(issued=row.issued + BAG)
    (one,) = audit_stock().differences
    assert int(one.kept) - int(one.found) == BAG


def test_items_that_stand_in_for_one_another_have_one_head() -> None:
    head = heads_of([(1, 2), (3, 4), (2, 3), (7, 8)])
    assert len({head[n] for n in (1, 2, 3, 4)}) == 1
    assert head[7] == head[8] != head[1]
    assert 5 not in head
