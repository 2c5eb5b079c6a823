"""A delivery that was claimed for is undone, and its claim closed or left, in one write."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest
from django.urls import reverse

from stock.claims.models import Claim
from stock.ledger.models import Lot
from stock.movements.services import waste_stock
from stock.ordering.models import GoodsIn
from tests.factories import DAY
from tests.stock.claims.world import claim, delivery
from tests.stock.ordering.services.test_goods_in import LATER

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(("close", "words"), [("yes", "wrong order"), ("no", "")])
def test_the_confirmation_asks_what_becomes_of_the_claim(
    close: str, words: str, client_for: Any, storeman: Any
) -> None:
    found = claim()
    client = client_for(storeman)
    asked = client.get(reverse("ordering:undo_delivery", args=[found.goods_in_id]), follow=True)
    assert asked.redirect_chain[0][0] == reverse("claims:undo", args=[found.goods_in_id])
    assert found.reference in asked.content.decode()
    form = {"uid": asked.context["form"]["uid"].value(), "reason": "wrong order"}
    url = reverse("claims:undo", args=[found.goods_in_id])
    assert client.post(url, form).status_code == 422
    for _ in range(2):
        assert client.post(url, form | {"close": close}).status_code == 302
    found.refresh_from_db()
    assert GoodsIn.objects.get().undone_because == "wrong order"
    assert words in found.closing_words
    assert (found.closed_at is not None) == (close == "yes")


def test_a_delivery_that_cannot_be_undone_closes_no_claim(client_for: Any, storeman: Any) -> None:
    found = claim()
    lot = Lot.objects.order_by("pk")[0]
    waste_stock(
        lot_id=lot.pk, place_id=lot.balances.get().place_id, quantity=1, reason="torn",
        key=uuid4(), day=DAY, by=None, at=LATER,
    )  # fmt: skip
    form = {"uid": uuid4(), "reason": "wrong order", "close": "yes"}
    page = client_for(storeman).post(reverse("claims:undo", args=[found.goods_in_id]), form)
    assert page.status_code == 422
    assert "has moved already" in page.content.decode()
    assert Claim.objects.get().closed_at is None
    assert GoodsIn.objects.get().undone_at is None


def test_without_an_open_claim_nothing_is_asked(client_for: Any, storeman: Any) -> None:
    page = client_for(storeman).get(reverse("ordering:undo_delivery", args=[delivery().pk]))
    assert page.status_code == 200
