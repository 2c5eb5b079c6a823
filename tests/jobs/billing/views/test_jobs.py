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
from tests.jobs.billing.world import QUARTER, ask, household, pay, plan

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


@pytest.mark.parametrize(
    ("nets", "stages", "unit", "shares"),
    [
        ({20: "1000.00"}, QUARTER, "percent", ["25.00", "75.00"]),
        # Agreed in pounds, at two rates: given in pounds again.
        (
            {20: "600.00", 5: "300.00"},
            (Stage("Now", amount=D("300.01")), Stage("Then", amount=D("599.99"))),
            "amount", ["300.01", "599.99"],
        ),
    ],
)  # fmt: skip
def test_a_plan_written_anew_begins_with_the_one_that_stands(
    nets: dict[int, str], stages: Any, unit: str, shares: list[str], office: Any, client_for: Log
) -> None:
    job = household()
    before = rows_of(plan(job, nets, stages, vat_reason="conversion of a house"))
    client, url = client_for(office), reverse("billing:plan", args=[job.pk])

    form = client.get(url).context["form"]
    typed = {bound.name: bound.value() for bound in form if bound.value() not in (None, False)}
    answer = client.post(url, typed)

    assert (typed["unit"], [typed["share_1"], typed["share_2"]]) == (unit, shares)
    assert answer.status_code == 302
    written = StagePlan.objects.get()
    assert written.version == 2
    assert rows_of(written) == before
    # Why a rate is not the standard one stays, where there is such a rate.
    assert written.vat_reason == ("conversion of a house" if 5 in nets else "")


def rows_of(written: StagePlan) -> list[Any]:
    return [
        (stage.kind, stage.words, [(row.rate, row.net, row.vat) for row in stage.shares.all()])
        for stage in written.stages.all()
    ]
