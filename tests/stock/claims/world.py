"""A delivery with something amiss, and a claim at each of its steps."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

from stock.claims.models import Claim
from stock.claims.services import notify_claim, post_claim, record_answer
from stock.ordering.models import GoodsIn
from stock.ordering.rules import Arrived
from stock.ordering.services import ReceivedLine
from tests.stock.ordering.services.test_goods_in import LATER, receive, stone_order

SHORT = {"good": 40, "held": 2, "refused": 1, "short": 1}


def delivery(**figures: int) -> GoodsIn:
    """44 bags were ordered at £8.40; received on Mon 18 May 2026, to be claimed for by the 19th."""
    order, line = stone_order()
    arrived = Arrived(**figures or SHORT)
    return receive(order, ReceivedLine(line.pk, arrived, run="A", note="wet through"))


def claim(goods_in: GoodsIn | None = None, **fields: Any) -> Claim:
    goods_in = goods_in or delivery()
    lines = goods_in.lines.filter(outcome__in=["held", "refused", "short"])
    values: dict[str, Any] = {
        "line_ids": [line.pk for line in lines], "against": "carrier", "what": "four bags",
        "credit_expected": Decimal("33.60"), "key": uuid4(), "by": None, "at": LATER,
    }  # fmt: skip
    return post_claim(goods_in_id=goods_in.pk, **values | fields)


def told(**fields: Any) -> Claim:
    found = claim(**fields)
    return notify_claim(
        claim_id=found.pk, how="email", words="four bags", told_at=LATER, by=None, at=LATER
    )


def answered(**fields: Any) -> Claim:
    found = told()
    values: dict[str, Any] = {
        "answer": "accepted", "answered_on": LATER.date(), "words": "", "by": None,
        "credit_expected": Decimal("33.60"), "at": LATER + timedelta(hours=1),
    }  # fmt: skip
    return record_answer(claim_id=found.pk, **values | fields)
