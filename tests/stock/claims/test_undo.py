"""A delivery that was claimed for is undone and its claim withdrawn, or neither."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest
from django.urls import reverse

from jobs.kernel.errors import ServiceError
from stock.claims.models import Claim
from stock.claims.services import close_claim, reopen_claim, undo_delivery
from stock.ledger.models import Lot
from stock.movements.services import waste_stock
from stock.ordering.models import GoodsIn
from stock.ordering.services import undo_goods_in
from tests.factories import DAY
from tests.stock.claims.world import claim, delivery, told
from tests.stock.ordering.services.test_goods_in import LATER

pytestmark = pytest.mark.django_db


def undo(found: Claim, **fields: Any) -> GoodsIn:
    values: dict[str, Any] = {"reason": "wrong order", "key": uuid4(), "by": None, "at": LATER}
    return undo_delivery(goods_in_id=found.goods_in_id, **values | fields)


def test_a_claim_that_nobody_was_told_of_is_withdrawn_with_its_delivery() -> None:
    found, key = claim(), uuid4()
    for _ in range(2):
        undo(found, key=key)
    found.refresh_from_db()
    assert (found.closed_at, found.goods_in.undone_at) == (LATER, LATER)
    assert found.closing_words == "Withdrawn, since the delivery was undone: wrong order"
    with pytest.raises(ServiceError, match="nothing to claim for"):
        reopen_claim(claim_id=found.pk, by=None, at=LATER)


def test_a_claim_that_they_were_told_of_is_closed_first() -> None:
    found = told()
    with pytest.raises(ServiceError) as refusal:
        undo(found)
    assert refusal.value.message == (
        f"The carrier was told of {found} on 18 May 2026. Tell them that it is withdrawn and close "
        "it, then undo the delivery."
    )
    close_claim(claim_id=found.pk, words="withdrawn with them", by=None, at=LATER)
    assert undo(found).undone_at == LATER


def test_ordering_alone_undoes_no_delivery_that_is_claimed_for() -> None:
    found = claim()
    with pytest.raises(ServiceError, match=f"{found} is open"):
        undo_goods_in(
            goods_in_id=found.goods_in_id, reason="twice", key=uuid4(), by=None, at=LATER
        )  # fmt: skip
    assert GoodsIn.objects.get().undone_at is None


def test_the_confirmation_says_what_becomes_of_the_claim(client_for: Any, storeman: Any) -> None:
    found = claim()
    client = client_for(storeman)
    direct = reverse("ordering:undo_delivery", args=[found.goods_in_id])
    asked = client.get(direct, follow=True)
    url = reverse("claims:undo", args=[found.goods_in_id])
    assert asked.redirect_chain[0][0] == url
    assert f"{found.reference} is withdrawn" in asked.content.decode()
    form = {"uid": asked.context["form"]["uid"].value(), "reason": "wrong order"}
    # The page may have been open since before the claim was.
    refused = client.post(direct, form)
    assert refused.status_code == 422
    assert f"{found.reference} is open for this delivery." in refused.content.decode()
    assert Claim.objects.going().get() == found
    assert client.post(url, form | {"reason": ""}).status_code == 422
    for _ in range(2):
        assert client.post(url, form).status_code == 302
    found.refresh_from_db()
    assert (GoodsIn.objects.get().undone_because, found.state) == ("wrong order", "closed")
    assert "Open it again" not in client.get(found.get_absolute_url()).content.decode()


def test_the_page_says_that_a_told_claim_comes_first(client_for: Any, storeman: Any) -> None:
    found = told()
    url = reverse("claims:undo", args=[found.goods_in_id])
    client = client_for(storeman)
    words = f"was told of {found} on 18 May 2026"
    assert words in client.get(url).content.decode()
    page = client.post(url, {"uid": uuid4(), "reason": "wrong order"})
    assert (page.status_code, words in page.content.decode()) == (422, True)
    assert Claim.objects.get().closed_at is None
    assert GoodsIn.objects.get().undone_at is None


def test_a_delivery_that_cannot_be_undone_closes_no_claim(client_for: Any, storeman: Any) -> None:
    found = claim()
    lot = Lot.objects.order_by("pk")[0]
    waste_stock(
        lot_id=lot.pk, place_id=lot.balances.get().place_id, quantity=1, reason="torn",
        key=uuid4(), day=DAY, by=None, at=LATER,
    )  # fmt: skip
    form = {"uid": uuid4(), "reason": "wrong order"}
    page = client_for(storeman).post(reverse("claims:undo", args=[found.goods_in_id]), form)
    assert page.status_code == 422
    assert "has moved already" in page.content.decode()
    assert Claim.objects.get().closed_at is None
    assert GoodsIn.objects.get().undone_at is None


def test_without_an_open_claim_nothing_is_asked(client_for: Any, storeman: Any) -> None:
    page = client_for(storeman).get(reverse("ordering:undo_delivery", args=[delivery().pk]))
    assert page.status_code == 200
