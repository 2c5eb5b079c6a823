"""A delivery is undone while somebody claims for it, on PostgreSQL; the control takes no lock."""

from __future__ import annotations

import threading
from typing import Any
from uuid import uuid4

import pytest
from django.db import connection

from jobs.kernel.errors import ServiceError
from stock.claims.models import Claim
from stock.claims.queries import claimable_lines
from stock.ordering.models import GoodsIn
from stock.ordering.services import undo as undoing
from stock.ordering.services import undo_goods_in
from tests.races import meeting
from tests.stock.claims.world import claim, delivery
from tests.stock.ordering.services.test_goods_in import LATER

pytestmark = [pytest.mark.postgres, pytest.mark.django_db(transaction=True)]


@pytest.mark.parametrize("lock", [True, False])
def test_no_claim_is_opened_for_a_delivery_that_is_being_undone(
    lock: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    # long because: two clients, and where each waits for the other
    goods_in = delivery()
    meet = threading.Barrier(2)
    monkeypatch.setattr("stock.claims.services.claimable_lines", meeting(claimable_lines, meet))
    monkeypatch.setattr(undoing, "check_unclaimed", meeting(undoing.check_unclaimed, meet))
    refused: list[str] = []

    def run(work: Any) -> None:
        try:
            work()
        except ServiceError as refusal:
            refused.append(refusal.message)
        finally:
            connection.close()

    def undo() -> None:
        undo_goods_in(
            goods_in_id=goods_in.pk, reason="twice", key=uuid4(), by=None, at=LATER, lock=lock
        )  # fmt: skip

    threads = [
        threading.Thread(target=run, args=[work]) for work in (undo, lambda: claim(goods_in))
    ]  # fmt: skip
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    both = GoodsIn.objects.get().undone_at is not None and Claim.objects.going().exists()
    assert (both, len(refused)) == ((False, 1) if lock else (True, 0))
