"""Rates begin on a day and are never edited."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import Any

import pytest

from jobs.audit.models import Event
from jobs.kernel.errors import ServiceError
from quotes.pricebook import services
from quotes.pricebook.models import FirmRates, PlantRate, WorkItem
from quotes.pricebook.queries import costs_of, firm_rates
from tests.factories import make_edging, make_price, make_sand, make_supplier
from tests.quotes.world import make_plant, make_rates, make_work_item

pytestmark = pytest.mark.django_db


def add(owner: Any, at: datetime, **fields: Any) -> WorkItem:
    values = {"code": "LIFT", "name": "Lift", "unit": "m2", "measure": "area"}
    return services.add_work_item(**values | fields, by=owner, at=at)


def test_a_code_is_used_once(owner: Any, at: datetime) -> None:
    add(owner, at)

    with pytest.raises(ServiceError, match="Another work item has this code") as refused:
        add(owner, at, code="lift")

    assert refused.value.field == "code"


def test_only_one_item_is_the_laying(owner: Any, at: datetime) -> None:
    add(owner, at, is_surface=True)

    with pytest.raises(ServiceError, match="there is one only"):
        add(owner, at, code="LAY2", is_surface=True)


def test_new_figures_begin_after_the_last(owner: Any, at: datetime) -> None:
    item = add(owner, at)
    services.add_rate(
        work_item_id=item.pk, valid_from=date(2026, 5, 1), plant=Decimal(6), by=owner, at=at
    )

    with pytest.raises(ServiceError, match="must begin on a later day") as refused:
        services.add_rate(
            work_item_id=item.pk, valid_from=date(2026, 5, 1), plant=Decimal(7), by=owner, at=at
        )

    assert refused.value.field == "valid_from"
    assert [rate.plant for rate in item.rates.all()] == [Decimal("6.0000")]


def test_a_day_keeps_the_figures_it_had(owner: Any, at: datetime) -> None:
    item = add(owner, at)
    for day, plant in ((date(2026, 5, 1), 6), (date(2026, 5, 14), 7)):
        services.add_rate(
            work_item_id=item.pk, valid_from=day, plant=Decimal(plant), by=owner, at=at
        )

    costs = {
        day: costs_of([item], date(2026, 5, day), labour_hourly=Decimal(30))[item.pk].unit.direct
        for day in (1, 13, 14)
    }

    assert costs == {1: Decimal(6), 13: Decimal(6), 14: Decimal(7)}


def test_before_the_first_figures_the_gap_is_said(owner: Any, at: datetime) -> None:
    item = add(owner, at)

    cost = costs_of([item], date(2026, 5, 14), labour_hourly=Decimal(30))[item.pk]

    assert cost.gap == "'Lift' has no rate for 14 May 2026."
    assert cost.unit.direct == 0


def test_stock_without_a_price_is_a_gap() -> None:
    edging = make_edging(name="Edging")
    item = make_work_item(
        "EDGE", "m", "edge", {"stock_item": edging, "stock_per_unit": 1000}, name="Edge"
    )

    before = costs_of([item], date(2026, 5, 14), labour_hourly=Decimal(30))[item.pk]
    make_price(make_supplier(), edging, "10")
    after = costs_of([item], date(2026, 5, 14), labour_hourly=Decimal(30))[item.pk]

    assert before.gap == "'Edging' has no supplier's price for 14 May 2026."
    assert (after.gap, after.unit.stock) == ("", Decimal("4.0000"))


def test_costs_of_any_number_of_items_take_two_queries(django_assert_num_queries: Any) -> None:
    taken = {make_edging(): 1000, make_sand(): 400}
    items = [make_work_item(f"E{n}", "m", "edge", {"stock": taken}) for n in range(3)]

    with django_assert_num_queries(2):
        costs_of(items[:1], date(2026, 5, 14), labour_hourly=Decimal(30))
    with django_assert_num_queries(2):
        costs_of(items, date(2026, 5, 14), labour_hourly=Decimal(30))


def test_a_unit_takes_several_items_each_with_its_cost(owner: Any, at: datetime) -> None:
    stone, mat = make_sand(name="Stone", pack_quantity=20_000), make_edging(name="Mat")
    make_price(make_supplier(), stone, "4.00")
    item = add(owner, at)
    figures: dict[str, Any] = {"work_item_id": item.pk, "by": owner, "at": at}
    for wrong, words in (
        ({stone.pk: 0}, "more than 0"), ({0: 5}, "from the list"),
        (dict.fromkeys(range(1, 8), 5), "6 items"),
    ):  # fmt: skip
        with pytest.raises(ServiceError, match=words):
            services.add_rate(valid_from=date(2026, 5, 1), stock=wrong, **figures)
    services.add_rate(
        valid_from=date(2026, 5, 1), stock={stone.pk: 250_000, mat.pk: 1_100},
        waste_percent=Decimal(10), **figures,
    )  # fmt: skip
    services.add_rate(valid_from=date(2026, 5, 20), stock={mat.pk: 1_000}, **figures)

    cost = costs_of([item], date(2026, 5, 14), labour_hourly=Decimal(30))[item.pk]

    # by hand: 12.5 packs at £4 and a tenth of waste; for the mat nobody has a price
    assert [(each.name, each.per_unit, each.cost) for each in cost.stock] == [
        ("Stone", 250_000, Decimal("55.0000")), ("Mat", 1_100, Decimal(0)),
    ]  # fmt: skip
    assert (cost.unit.stock, cost.unit.direct) == (Decimal(55), Decimal(55))
    assert cost.gap == "'Mat' has no supplier's price for 14 May 2026."
    later = costs_of([item], date(2026, 5, 20), labour_hourly=Decimal(30))[item.pk]
    assert [each.name for each in later.stock] == ["Mat"]
    told = Event.objects.filter(verb="add rate").earliest("pk").after["stock"]
    assert told == f"{stone.code} 250000; {mat.code} 1100"


def test_firm_rates_hold_from_their_day(owner: Any, at: datetime) -> None:
    make_rates()
    services.add_firm_rates(
        valid_from=date(2026, 6, 1), labour_hourly=Decimal(32), overhead_percent=Decimal(12),
        margin_percent=Decimal(25), by=owner, at=at,
    )  # fmt: skip

    assert firm_rates(date(2026, 5, 31)).labour_hourly == 30
    assert firm_rates(date(2026, 6, 1)).labour_hourly == 32
    assert FirmRates.objects.count() == 2
    assert Event.objects.filter(verb="add firm rates").count() == 1


def test_without_rates_a_sentence() -> None:
    with pytest.raises(ServiceError, match="give the firm's rates first"):
        firm_rates(date(2026, 5, 14))


def test_a_work_item_goes_out_of_use_and_comes_back(owner: Any, at: datetime) -> None:
    item = add(owner, at)

    services.archive_work_item(work_item_id=item.pk, by=owner, at=at)
    assert not WorkItem.objects.in_use().exists()
    services.archive_work_item(work_item_id=item.pk, by=owner, at=at)

    assert WorkItem.objects.in_use().get() == item


def test_a_machine_of_the_book_counts_by_its_day_rate_on_the_day(
    owner: Any, at: datetime, django_assert_num_queries: Any
) -> None:
    machine = make_plant(day_rate=Decimal(70))
    PlantRate.objects.create(
        entry=machine, valid_from=date(2026, 6, 1), day_rate=Decimal(80), minimum_days=1
    )
    item = make_work_item("SUB", "m2", "area", {"plant": "1.50"})
    figures = {"plant": Decimal("1.50"), "machine_id": machine.pk}
    with pytest.raises(ServiceError, match="together with the days"):
        services.add_rate(
            work_item_id=item.pk, valid_from=date(2026, 2, 1), **figures, by=owner, at=at
        )
    services.add_rate(
        work_item_id=item.pk, valid_from=date(2026, 2, 1), machine_days=Decimal("0.05"), **figures,
        by=owner, at=at,
    )  # fmt: skip

    with django_assert_num_queries(2):
        may = costs_of([item], date(2026, 5, 14), labour_hourly=Decimal(30))[item.pk]
    june = costs_of([item], date(2026, 6, 14), labour_hourly=Decimal(30))[item.pk]

    # by hand: 1.50 and a twentieth of a day at 70, from June at 80
    assert (may.unit.plant, june.unit.plant) == (Decimal("5.0000"), Decimal("5.5000"))
    machine.rates.all().delete()
    bare = costs_of([item], date(2026, 5, 14), labour_hourly=Decimal(30))[item.pk]
    assert (bare.unit.plant, bare.gap) == (
        Decimal("1.5000"), f"'{machine}' has no figures for 14 May 2026.",
    )  # fmt: skip
