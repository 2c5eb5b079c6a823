"""Pages of a job's money: its plan, what is asked for, what is left."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from jobs.billing.models import StagePlan
from jobs.billing.rules import Stage
from tests.jobs.billing.world import ask, household, pay, plan

pytestmark = pytest.mark.django_db
Log = Callable[[Any], Client]
D = Decimal


@pytest.mark.parametrize("count", [1, 3])
def test_the_money_page_costs_a_fixed_number_of_queries(
    count: int, office: Any, client_for: Log, django_assert_num_queries: Any
) -> None:
    job = household()
    plan(job, stages=[Stage(f"stage {n}", percent=D(25)) for n in range(4)])
    for position in range(count):
        pay(ask(job, position))
    client, url = client_for(office), reverse("billing:job", args=[job.pk])
    client.get(url)
    # Session, user, two of permissions, job; plan, agreed, invoiced, receipts, stages and shares,
    # requests, money to invoice, invoices, variations, cost of materials.
    with django_assert_num_queries(16):
        page = client.get(url).content.decode()
    assert page.count("Issue the VAT invoice") == count
    assert "Deposit: none was asked for" in page  # these stages name none


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"share_1": "99.99"}, "they must come to 100.00"),
        ({"standard": ""}, "what was agreed"),
        ({"standard": "-1"}, "Give 0 or more."),
        ({"words_2": "second"}, "its words and its share"),
        ({"share_1": "NaN"}, "figure"),
        ({"unit": "shells"}, "Choose one of the list"),
        ({"unit": "amount", "share_1": "10.00"}, "they must come to 1,000.00"),
    ],
)
def test_a_plan_that_does_not_add_up_is_refused(
    typed: dict[str, str], sentence: str, office: Any, client_for: Log
) -> None:
    job = household()
    data = {"standard": "1000.00", "unit": "percent", "words_1": "All", "share_1": "100.00"}
    url = reverse("billing:plan", args=[job.pk])
    answer = client_for(office).post(url, data | typed)
    assert answer.status_code == 422
    assert sentence in answer.content.decode()
    assert not StagePlan.objects.exists()
    done = client_for(office).post(url, data)
    assert done.status_code == 302
    assert StagePlan.objects.get().job == job
