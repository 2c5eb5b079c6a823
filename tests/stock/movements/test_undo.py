"""What was split, paired or broken up is undone whole, and refused once something has moved on."""

from __future__ import annotations

from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.urls import reverse

from jobs.kernel.errors import ServiceError
from stock.allocation.services import reserve_job
from stock.ledger.models import Lot, Posting
from stock.ledger.queries import place
from stock.ledger.services import hold_lot, release_lot, split_lot
from stock.movements.models import Tin, WasteNote
from stock.movements.queries import audit_stock
from stock.movements.services import (
    ReturnRow,
    keep_tin,
    scrap_tin,
    transfer_stock,
    undo_posting,
    waste_stock,
)
from tests.factories import (
    AT,
    DAY,
    make_job,
    make_kit,
    make_lot,
    make_place,
    make_requirement,
    make_stone,
)
from tests.stock.movements.roles import noted
from tests.stock.movements.test_services import actual, bring_back, issue, reserved_job
from tests.stock.movements.test_tins import alone, broken, pair

pytestmark = pytest.mark.django_db
BAG = 20_000


def undo(posting: Posting, **fields: Any) -> Posting:
    values: dict[str, Any] = {"reason": "by mistake", "key": uuid4(), "by": None, "at": AT}
    return undo_posting(posting_id=posting.pk, **values | fields)


def split(held_reason: str = "") -> tuple[Lot, Lot]:
    bay = make_place()
    lot = make_lot(make_stone(), 3, place=bay, cost=Decimal("10.00"))
    part = split_lot(
        lot_id=lot.pk, quantity=BAG, place_id=bay.pk, held_reason=held_reason, key=uuid4(),
        by=None, at=AT,
    )  # fmt: skip
    return lot, part


@pytest.mark.parametrize("half", ["out", "into"])
def test_a_split_is_undone_with_both_halves_and_its_cost(half: str) -> None:
    lot, part = split()
    assert Lot.objects.get(pk=lot.pk).costed == BAG
    one = lot if half == "out" else part
    posting = one.movements.latest("pk").posting
    key = uuid4()
    assert undo(posting, key=key) == undo(posting, key=key)
    lot.refresh_from_db()
    part.refresh_from_db()
    assert (lot.on_hand, lot.costed, part.on_hand, part.parent) == (3 * BAG, 0, 0, None)
    assert not lot.parts.exists()
    assert Posting.objects.filter(reverses__isnull=False).count() == 2
    assert audit_stock().ok
    with pytest.raises(ServiceError, match="undone already"):
        undo(posting)


def test_an_undone_return_takes_no_penny_that_another_job_took_meanwhile() -> None:
    # Half of £10.63 is £5.32 for whoever is first, and £5.31 for the other.
    one, lot = reserved_job(make_stone(), 2, spare=2, cost=Decimal("10.63"))
    issued = issue(one)
    back = bring_back(one, ReturnRow(lot.pk, 2 * BAG))
    other = make_job(stage="won")
    make_requirement(other, lot.item, 2)
    reserve_job(job_id=other.pk, by=None, at=AT)
    issue(other)

    undo(back)

    assert (actual(one), actual(other)) == (Decimal("5.31"), Decimal("5.32"))
    assert audit_stock().differences == []
    undo(issued)
    assert (actual(one), actual(other)) == (Decimal(0), Decimal("5.32"))
    assert audit_stock().differences == []


def test_a_part_that_moved_or_is_held_is_not_put_back() -> None:
    lot, part = split(held_reason="damp")
    out = lot.movements.latest("pk").posting
    with pytest.raises(ServiceError, match="is held: damp"):
        undo(out)
    release_lot(lot_id=part.pk, reason="only the wrap", by=None, at=AT)
    here = part.balances.get(quantity__gt=0).place
    moved = transfer_stock(
        lot_id=part.pk, from_place_id=here.pk, to_place_id=make_place().pk, quantity=BAG,
        key=uuid4(), day=DAY, by=None, at=AT,
    )  # fmt: skip
    with pytest.raises(ServiceError, match="has moved already") as refusal:
        undo(out)
    assert (refusal.value.code, part.code in refusal.value.message) == ("moved", True)
    undo(moved)
    undo(out)
    assert Lot.objects.get(pk=lot.pk).on_hand == 3 * BAG


def test_a_return_with_an_opened_bag_is_undone_with_what_was_split_off() -> None:
    bay = make_place()
    job, lot = reserved_job(make_stone(), 3, place=bay)
    issue(job)
    paid = actual(job)
    back = bring_back(
        job, ReturnRow(lot.pk, BAG), ReturnRow(lot.pk, BAG // 2, opened=True), bay=bay
    )  # fmt: skip
    opened = Lot.objects.get(parent=lot)
    assert (opened.status, opened.on_hand) == ("held", BAG // 2)
    undo(back)
    lot.refresh_from_db()
    opened.refresh_from_db()
    assert (lot.on_hand, lot.at_sites, opened.on_hand) == (0, 3 * BAG, 0)
    assert actual(job) == paid
    assert place("site", job).balances.get(lot=lot).quantity == 3 * BAG
    assert audit_stock().ok


def test_paired_tins_are_single_ones_again_unless_the_kits_moved() -> None:
    kit = make_kit()
    a, b = alone(kit, "A"), alone(kit, "B")
    made = pair(a, b, 2)
    posting = made.movements.get().posting
    hold_lot(lot_id=made.pk, reason="looked at", by=None, at=AT)
    gone = waste_stock(
        lot_id=made.pk, place_id=made.balances.get().place_id, quantity=1, reason="leaks",
        key=uuid4(), day=DAY, by=None, at=AT,
    )  # fmt: skip
    with pytest.raises(ServiceError, match="has moved already"):
        undo(posting)
    undo(gone)
    undo(posting)
    made.refresh_from_db()
    assert made.on_hand == 0
    assert {tin.left for tin in Tin.objects.all()} == {3}
    assert audit_stock().ok
    # A delivery is no pairing: it is undone on its own page.
    with pytest.raises(ServiceError, match="on the delivery's page"):
        undo(make_lot(kit).movements.get().posting)


def test_broken_up_kits_are_whole_again_and_their_tins_are_gone() -> None:
    lot, tin = broken("A")
    waste = lot.movements.latest("pk").posting
    scrap_tin(tin_id=tin.pk, reason="rusty", by=None, at=AT)
    with pytest.raises(ServiceError, match="paired or scrapped"):
        undo(waste)
    again = keep_tin(
        lot_id=lot.pk, place_id=tin.place_id, part="B", count=1, why="leaked", key=uuid4(),
        by=None, at=AT,
    )  # fmt: skip
    undo(lot.movements.latest("pk").posting)
    again.refresh_from_db()
    lot.refresh_from_db()
    assert (again.left, lot.on_hand) == (0, 3)


def test_the_page_of_a_posting_links_its_note_and_offers_the_undoing(
    client_for: Any, storeman: Any
) -> None:
    client = client_for(storeman)
    lot, part = split()
    for posting in (lot.movements.latest("pk").posting, part.movements.get().posting):
        page = client.get(reverse("movements:detail", args=[posting.pk])).content.decode()
        assert reverse("movements:undo", args=[posting.pk]) in page
    note = WasteNote.objects.get(pk=noted().kwargs["pk"])
    waste = note.lines.get().posting
    page = client.get(reverse("movements:detail", args=[waste.pk])).content.decode()
    assert note.get_absolute_url() in page


def test_the_place_to_move_to_is_scanned_or_chosen(client_for: Any, storeman: Any) -> None:
    client = client_for(storeman)
    bay, van = make_place(), make_place("van")
    lot = make_lot(make_kit(), 5, place=bay)
    url = reverse("movements:transfer", args=[lot.pk])

    def move(**fields: Any) -> Any:
        return client.post(url, {"uid": uuid4(), "from_place": bay.pk, "packs": "1"} | fields)

    for there in (f"https://yard.example/labels/p/{van.pk}/", van.name.upper()):
        assert move(scanned=there).status_code == 302
    assert move(to_place=van.pk).status_code == 302
    assert lot.balances.get(place=van).quantity == 3
    job, _ = reserved_job(make_kit(), 1)
    site = place("site", job)
    for fields, wrong in (
        ({}, "to_place"),
        ({"scanned": "nowhere"}, "scanned"),
        ({"scanned": f"/labels/p/{site.pk}/"}, "scanned"),
        ({"scanned": "\x00"}, "scanned"),
        ({"scanned": van.name, "to_place": bay.pk}, "scanned"),
    ):
        page = move(**fields)
        assert page.status_code == 422
        assert list(page.context["form"].errors) == [wrong]
    assert lot.balances.get(place=van).quantity == 3
