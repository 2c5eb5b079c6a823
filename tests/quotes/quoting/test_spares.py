"""Both costs of spares: what comes back, and what running short costs."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any
from urllib.parse import urlencode

import pytest
from django.test import Client

from quotes.quoting.rules import spare_costs, unopened_cost
from quotes.takeoff.queries import take_off
from tests.quotes.world import make_quote_world

pytestmark = pytest.mark.django_db


def test_an_unopened_spare_by_hand() -> None:
    # £6 of carriage, a quarter of an hour at £30, and 5 % of £82.40: 6 + 7.50 + 4.12
    cost = unopened_cost(
        Decimal("82.40"), carriage=Decimal(6), handling_hours=Decimal("0.25"), hourly=Decimal(30),
        expiry=Decimal(5),
    )  # fmt: skip

    assert cost == Decimal("17.62")


def test_dearer_joints_never_ask_for_fewer_spares() -> None:
    world = make_quote_world()
    found = take_off(world.survey)

    counts = []
    for short in (Decimal(0), Decimal(500), Decimal(5000), Decimal(500_000)):
        costs = spare_costs(found, unopened=Decimal("17.62"), short=short)
        assert costs is not None
        counts.append(costs.cheapest.option.spares)
        first = costs.rows[0].weighed
        assert first.cost_of_spares == 0
        assert first.cost_of_short == short * Decimal(repr(first.option.probability_short))

    assert counts == sorted(counts)
    assert counts[0] == 0
    assert counts[-1] > 0


def test_page_weighs_with_what_is_typed_and_keeps_what_is_wrong(
    owner: Any, storeman: Any, client_for: Callable[[Any], Client]
) -> None:
    world = make_quote_world()
    typed = {
        "sparecostform-ask": "1", "sparecostform-carriage": "6", "sparecostform-handling": "15",
        "sparecostform-expiry": "5",
    }  # fmt: skip
    address = f"/take-off/{world.survey.pk}/?"

    good = client_for(owner).get(address + urlencode(typed)).content.decode()
    bad = client_for(owner).get(
        address + urlencode(typed | {"sparecostform-carriage": "-4"})
    ).content.decode()  # fmt: skip
    others = client_for(storeman).get(address + urlencode(typed)).content.decode()

    assert '<details id="sparecost" open>' in good
    assert "Expected costs: each cost times its chance." in good
    assert 'value="-4"' in bad
    assert "Give 0 or more." in bad
    assert "Expected costs" not in bad
    assert "sparecost" not in others
