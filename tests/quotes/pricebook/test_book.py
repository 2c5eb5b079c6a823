"""Plant, ground and small jobs: their figures begin on a day and are never edited."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.test import Client

from jobs.kernel.errors import ServiceError
from quotes.pricebook import services
from quotes.pricebook.models import FirmRates, Plant
from quotes.pricebook.queries import carriages_of, entry_rate
from stock.suppliers.models import Channel
from tests.factories import DAY, make_charge, make_supplier
from tests.quotes.world import make_plant, make_small_job

pytestmark = pytest.mark.django_db
D = Decimal


@pytest.mark.parametrize("count", [1, 3])
@pytest.mark.parametrize("kind", ["plant", "small"])
def test_list_costs_the_same_for_one_and_three(
    kind: str, count: int, owner: Any, client_for: Callable[[Any], Client],
    django_assert_num_queries: Any,
) -> None:  # fmt: skip
    for _ in range(count):
        make_plant() if kind == "plant" else make_small_job()
    client = client_for(owner)

    # session, user, two for permissions, count, rows
    with django_assert_num_queries(6):
        response = client.get(f"/prices/book/{kind}/")

    price = "£70.00" if kind == "plant" else "£85.00"
    assert response.content.decode().count(price) == count


def test_an_entry_keeps_the_figures_of_its_days(owner: Any, at: datetime) -> None:
    plant = services.add_entry(kind="plant", name="Breaker", by=owner, at=at)
    with pytest.raises(ServiceError, match="has no figures for 14 May 2026") as none_yet:
        entry_rate("plant", plant.pk, at.date())
    for day, rate in ((1, 40), (14, 45)):
        services.add_entry_rate(
            kind="plant", entry_id=plant.pk, valid_from=date(2026, 5, day),
            figures={"day_rate": D(rate)}, by=owner, at=at,
        )  # fmt: skip

    rates = [entry_rate("plant", plant.pk, date(2026, 5, day))[1].day_rate for day in (13, 14)]
    with pytest.raises(ServiceError, match="must begin on a later day"):
        services.add_entry_rate(
            kind="plant", entry_id=plant.pk, valid_from=date(2026, 5, 14),
            figures={"day_rate": D(1)}, by=owner, at=at,
        )  # fmt: skip
    with pytest.raises(ServiceError, match="has this name"):
        services.add_entry(kind="plant", name="breaker", by=owner, at=at)

    assert none_yet.value.field == "entry"
    assert rates == [D(40), D(45)]


def test_figures_that_cannot_be_are_refused_before_the_database(owner: Any, at: datetime) -> None:
    plant = services.add_entry(kind="plant", name="Breaker", by=owner, at=at)

    with pytest.raises(ValidationError):
        services.add_entry_rate(
            kind="plant", entry_id=plant.pk, valid_from=at.date(),
            figures={"day_rate": D(-1)}, by=owner, at=at,
        )  # fmt: skip
    assert Plant.objects.get().rates.count() == 0


def test_bulking_below_one_keeps_what_was_typed(
    owner: Any, at: datetime, client_for: Callable[[Any], Client]
) -> None:
    ground = services.add_entry(kind="ground", name="Clay", by=owner, at=at)
    data = {
        "valid_from": "2026-05-01", "bulking": "0.9", "density": "0", "load_t": "8", "haul": "1",
        "tip": "1",
    }  # fmt: skip

    page = client_for(owner).post(f"/prices/book/ground/{ground.pk}/rate/", data)

    text = page.content.decode()
    assert page.status_code == 422
    assert "Give at least 1." in text
    assert "Give more than 0." in text
    assert 'value="0.9"' in text


def test_daywork_wants_all_three_additions_or_none(
    owner: Any, client_for: Callable[[Any], Client]
) -> None:
    data = {
        "valid_from": "2026-01-01", "labour_hourly": "30", "overhead_percent": "12",
        "margin_percent": "25", "vat_percent": "20", "waste_percent": "5",
        "deposit_percent": "25", "minimum_charge": "0", "validity_days": "30",
        "mile_rate": "0.45", "crew_size": "3", "day_hours": "8",
        "daywork_labour_percent": "90", "daywork_plant_percent": "15",
    }  # fmt: skip
    client = client_for(owner)

    half = client.post("/prices/rates/add/", data)
    whole = client.post("/prices/rates/add/", data | {"daywork_material_percent": "10"})

    assert "Give all three additions" in half.content.decode()
    assert whole.status_code == 302
    assert FirmRates.objects.get().daywork_percents == (D(90), D(15), D(10))
    assert "labour 90" in client.get("/prices/rates/").content.decode()


def test_the_counter_counts_only_where_nothing_is_brought(owner: Any) -> None:
    both, only = make_supplier(), make_supplier()
    Channel.objects.filter(supplier=only).delete()
    for supplier in (both, only):
        make_charge(Channel.objects.create(supplier=supplier, kind="counter", lead_days=0))

    found = carriages_of([both.pk, only.pk], DAY)

    assert [way.price for way in found[both.pk]] == [D("45.00"), D("45.00")]
    assert [way.price for way in found[only.pk]] == [D(0)]


def test_carriage_is_that_of_the_day(django_assert_num_queries: Any) -> None:
    supplier, first = make_supplier(), timedelta(days=1)
    for channel in supplier.channels.all():
        make_charge(channel, "60", valid_from=DAY, minimum=D(80), free_from=D(900))
        make_charge(channel, "70", valid_from=DAY + first)

    def charged(day: date) -> list[tuple[D, D, D | None]]:
        with django_assert_num_queries(1):
            found = carriages_of([supplier.pk], day)
        return [(way.price, way.minimum, way.free_from) for way in found.get(supplier.pk, ())]

    assert charged(DAY - first) == [(D(45), D(0), None)] * 2
    assert charged(DAY) == [(D(60), D(80), D(900))] * 2
    assert charged(DAY + first) == [(D(70), D(0), None)] * 2
    assert charged(date(2025, 12, 31)) == []
