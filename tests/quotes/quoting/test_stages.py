"""Stages of a quote: they add up whatever the plan and the price, and are frozen with the quote."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from hypothesis import example, given, settings
from hypothesis import strategies as st

from jobs.billing.rules import Stage, sums_by_rate, vat_on
from jobs.kernel.errors import ServiceError
from quotes.quoting import services
from quotes.quoting.models import Revision
from quotes.quoting.queries import sheet_of, stages_on_page
from quotes.quoting.rules import (
    MOST_STAGES,
    READY_PLANS,
    QuoteSheet,
    check_plan,
    kept_plan,
    planned_stages,
    share_plan,
)
from tests.quotes.documents.test_documents import make_sheet
from tests.quotes.world import QuoteWorld, make_quote_world

D = Decimal
RATES = st.sampled_from([D(20), D(5), D(0)])
NETS = st.dictionaries(RATES, st.decimals("0.00", "100000", places=2), min_size=1)
PERCENT = st.decimals("0.01", "60", places=2)
POUNDS = st.decimals("0.01", "40000", places=2)
ROWS = st.lists(
    st.one_of(
        st.builds(Stage, st.just("share"), percent=PERCENT),
        st.builds(Stage, st.just("sum"), amount=POUNDS),
    ),
    max_size=MOST_STAGES - 2,
)


@settings(max_examples=200, deadline=None)
@given(nets=NETS, deposit=st.one_of(st.just(D(0)), PERCENT), rows=ROWS)
@example(nets={D(20): D("0.01"), D(5): D("0.01")}, deposit=D(25), rows=[Stage("a", percent=D(25))])
@example(nets={D(20): D(100)}, deposit=D(60), rows=[Stage("a", amount=D(90))])
def test_any_plan_adds_up_to_any_price_at_every_rate(
    nets: dict[Decimal, Decimal], deposit: Decimal, rows: list[Stage]
) -> None:
    kept = kept_plan([*rows, Stage("last")])
    stages = planned_stages(deposit, kept)
    found = share_plan(nets, stages)

    whole = vat_on(nets)
    by_rate = sums_by_rate([row for each in found for row in each.by_rate])
    assert {(row.rate, row.net, row.vat) for row in by_rate.values()} == set(whole.by_rate)
    assert sum(each.net for each in found) == whole.net
    assert sum(each.vat for each in found) == whole.vat
    assert sum(each.gross for each in found) == whole.gross
    assert [each.stage for each in found] == list(stages)
    assert all(each.net >= 0 for each in found)


def test_shares_and_amounts_by_hand() -> None:
    # by hand: 25 % of 999.99 is 249.9975, up: 250.00; a fixed 300.00; 449.99 is left. VAT at 20 %
    # of the whole is 200.00 (199.998): 50.00, 60.00 and the other 90.00.
    stages = planned_stages(
        D(25), [{"words": "Base ready", "amount": "300.00"}, {"words": "Handed over"}]
    )
    found = share_plan({D(20): D("999.99")}, stages)
    assert [(each.net, each.vat) for each in found] == [
        (D("250.00"), D("50.00")), (D("300.00"), D("60.00")), (D("449.99"), D("90.00")),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("deposit", "rows", "sentence"),
    [
        (25, [Stage("a", percent=D(80))], "come to 105 %"),
        (25, [Stage("a", percent=D(75))], "Nothing is left for the last stage"),
        (0, [Stage("a", amount=D(1000))], "Nothing is left for the last stage"),
        (50, [Stage("a", amount=D(500))], "the price is £1,000.00"),
        (25, [Stage(f"{n}", percent=D(1)) for n in range(5)], "six stages|6 stages"),
        (25, [Stage("a", percent=D(1)), Stage("A", percent=D(1))], "the same words"),
        (25, [Stage("a")], "share in per cent or an amount"),
        (25, [Stage(" ", percent=D(1))], "Say when"),
        (25, [Stage("a", percent=D(1), amount=D(1))], "not both"),
        (25, [Stage("a", percent=D(-5))], "more than nothing"),
    ],
)
def test_what_cannot_be_planned_is_said(deposit: int, rows: list[Stage], sentence: str) -> None:
    head = [Stage("Deposit", percent=D(deposit), deposit=True)] if deposit else []
    with pytest.raises(ServiceError, match=sentence):
        check_plan([*head, *rows, Stage("last")], D(1000))


@pytest.mark.parametrize("deposit", [1, 25, 50, 99])
def test_ready_plans_can_stand(deposit: int) -> None:
    for plan in READY_PLANS:
        stages = plan.stages(D(deposit))
        check_plan(stages, D(1000))
        assert share_plan({D(20): D(1000)}, stages)[-1].net > 0
        assert stages[0].deposit == plan.deposit


def test_an_old_sheet_without_stages_is_read() -> None:
    kept = make_sheet().as_dict()
    del kept["stages"]
    assert QuoteSheet.from_dict(kept).stages == ()


@pytest.fixture
def world() -> QuoteWorld:
    return make_quote_world()


PLAN = [
    Stage("Deposit", percent=D(20), deposit=True), Stage("First day on site", percent=D(30)),
    Stage("Base ready", amount=D("250.00")), Stage("Handed over"),
]  # fmt: skip


@pytest.mark.django_db
def test_a_plan_is_frozen_with_the_quote_and_goes_on_in_its_revision(
    world: QuoteWorld, owner: Any, at: datetime
) -> None:
    revision = world.start()
    # usual: deposit and rest
    assert [stage.words for stage in sheet_of(revision).stages] == [
        "Deposit", "The rest, when the work is done",
    ]  # fmt: skip
    services.plan_payment(revision_id=revision.pk, stages=PLAN, by=owner, at=at)
    sent = services.send_revision(revision_id=revision.pk, to="a@b.example", by=owner, at=at)

    sheet = sheet_of(Revision.objects.get(pk=sent.pk))
    assert [stage.words for stage in sheet.stages] == [stage.words for stage in PLAN]
    assert sheet.stages == stages_on_page(sent)
    assert sum(stage.net for stage in sheet.stages) == sheet.net
    assert sum(stage.vat for stage in sheet.stages) == sheet.vat
    assert sheet.deposit == sheet.stages[0].gross
    with pytest.raises(ServiceError, match="frozen"):
        services.plan_payment(revision_id=sent.pk, stages=PLAN, by=owner, at=at)
    copy = services.revise(revision_id=sent.pk, by=owner, at=at)
    assert copy.payment_plan == sent.payment_plan
    assert stages_on_page(copy) == sheet.stages


@pytest.mark.django_db
def test_a_price_that_fell_below_fixed_stages_is_not_sent(
    world: QuoteWorld, owner: Any, at: datetime
) -> None:
    revision = world.start()
    most = revision.net - D("0.01")
    services.plan_payment(
        revision_id=revision.pk, stages=[Stage("Start", amount=most), Stage("End")], by=owner,
        at=at,
    )  # fmt: skip
    services.change_terms(
        revision_id=revision.pk, values={"discount_fixed": D(10)}, by=owner, at=at
    )
    # the page still draws it: nobody asks for more than there is
    assert [stage.net for stage in stages_on_page(Revision.objects.get(pk=revision.pk))] == [
        most - D("9.99"), 0,
    ]  # fmt: skip
    with pytest.raises(ServiceError, match="Nothing is left for the last stage"):
        services.send_revision(revision_id=revision.pk, to="a@b.example", by=owner, at=at)
    with pytest.raises(ServiceError, match="100 % already"):
        services.change_terms(
            revision_id=revision.pk, values={"deposit_percent": D(100)}, by=owner, at=at
        )


def typed(revision: Revision, **values: str) -> dict[str, str]:
    """A form as a browser sends it."""
    found = {"version": str(revision.version), "deposit_percent": "20", "last_words": ""}
    return {f"plan-{name}": value for name, value in (found | values).items()}


ROW = {"words_2": "Base ready", "percent_2": "", "amount_2": "250"}


@pytest.mark.django_db
def test_stages_are_edited_with_and_without_javascript(
    world: QuoteWorld, office: Any, client_for: Callable[[Any], Client]
) -> None:
    revision, client = world.start(), client_for(office)
    url = f"/quotes/{revision.pk}/stages/"
    done = client.post(url, typed(revision, **ROW))
    assert (done.status_code, done["Location"]) == (302, f"/quotes/{revision.pk}/")
    fresh = Revision.objects.get(pk=revision.pk)
    assert fresh.payment_plan == [
        {"words": "Base ready", "amount": "250"}, {"words": "The rest, when the work is done"},
    ]  # fmt: skip
    assert fresh.deposit_percent == 20
    page = client.get(f"/quotes/{revision.pk}/").content.decode()
    for stage in stages_on_page(fresh):
        assert f"£{stage.gross:,.2f}" in page
    assert 'value="Base ready"' in page

    # over htmx a row that is half typed is left out and nothing is wrong yet
    more = ROW | {"words_3": "Laid", "version": str(fresh.version)}
    half = client.post(url, typed(revision, **more), headers={"HX-Request": "true"})
    text = half.content.decode()
    assert (half.status_code, half["HX-Retarget"]) == (200, "#sums")
    fresh = Revision.objects.get(pk=revision.pk)
    assert f'name="plan-version" value="{fresh.version}"' in text
    assert "Base ready" in text
    assert "Laid" not in text

    more["version"] = str(fresh.version)
    pressed = client.post(
        url, typed(revision, **more) | {"whole": "1"}, headers={"HX-Request": "true"}
    )
    assert pressed.status_code == 422
    text = pressed.content.decode()
    assert text.lstrip().startswith('<div id="money">')
    assert "Give a share in per cent or an amount before VAT." in text
    assert 'name="redraw"' in text


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("values", "sentence"),
    [
        ({"words_1": "Start", "percent_1": "90"}, "come to 110 %"),
        ({"words_1": "Start", "percent_1": "80"}, "Nothing is left for the last stage"),
        ({"words_1": "Start", "percent_1": "5", "amount_1": "5"}, "not both"),
        ({"percent_1": "5"}, "Say when this stage is due"),
        ({"words_5": "Too much", "percent_5": "5"}, "6 stages at most"),
        ({"words_1": "Start", "percent_1": "lots"}, 'value="lots"'),
        ({"words_1": "Start", "amount_1": "999999"}, "the price is £"),
        ({"version": "0"}, "Somebody saved this quote"),
    ],
)
def test_what_was_typed_wrong_is_said_and_kept(
    world: QuoteWorld, office: Any, client_for: Callable[[Any], Client], values: dict[str, str],
    sentence: str,
) -> None:  # fmt: skip
    revision = world.start()
    response = client_for(office).post(f"/quotes/{revision.pk}/stages/", typed(revision, **values))
    text = response.content.decode()
    assert response.status_code == 422
    assert sentence in text
    assert Revision.objects.get(pk=revision.pk).version == revision.version
    if "words_1" in values:
        assert 'value="Start"' in text


@pytest.mark.django_db
def test_a_ready_plan_is_one_press(
    world: QuoteWorld, office: Any, client_for: Callable[[Any], Client]
) -> None:
    revision, client = world.start(), client_for(office)
    url = f"/quotes/{revision.pk}/stages/ready/"
    found = {}
    for key in ("done", "start", "nothing"):
        client.post(url, {"ready": key})
        fresh = Revision.objects.get(pk=revision.pk)
        found[key] = [(stage.words, stage.share) for stage in stages_on_page(fresh)]
    assert found["done"] == [("All of it, when the work is done", "what is left")]
    assert found["start"] == found["nothing"] == [
        ("Deposit", "25 %"), ("On the first day on site", "35 %"),
        ("The rest, when the work is done", "what is left"),
    ]  # fmt: skip
