"""Lines reckoned from a few figures: what they cost, and that another day's rates move them."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client

from jobs.kernel.errors import ServiceError
from quotes.pricebook.models import FirmRates, PlantRate
from quotes.quoting import services
from quotes.quoting.models import Line, Revision
from quotes.quoting.queries import price_rise, sheet_of
from tests.quotes.world import (
    QuoteWorld,
    make_ground,
    make_plant,
    make_quote_world,
    make_small_job,
    make_work_item,
)

pytestmark = pytest.mark.django_db
D = Decimal


@pytest.fixture
def world() -> QuoteWorld:
    return make_quote_world()


def add(revision: Revision, kind: str, asked: dict[str, Any], at: datetime, **more: Any) -> Line:
    return services.add_asked_line(
        revision_id=revision.pk, kind=kind, asked=asked, by=None, at=at, **more
    )


def test_travel_is_miles_and_hours_or_a_sum(world: QuoteWorld, at: datetime) -> None:
    revision = world.start()

    way = add(
        revision, "travel", {"trips": 3, "miles": "24", "hours": "1.5", "people": 2}, at
    )  # fmt: skip
    flat = add(revision, "travel", {"trips": 3, "people": 2, "sum": "120"}, at)

    # 3 × 24 miles at 45 p; 3 × 1.5 h × 2 people at £30
    assert (way.other, way.labour, way.labour_hours) == (D("32.40"), D("270.00"), D("9.00"))
    assert (flat.direct, flat.quantity) == (D("120.00"), D(3))


def test_hire_charges_its_least_period_and_the_cheapest_weeks(
    world: QuoteWorld, at: datetime
) -> None:
    revision, plant = world.start(), make_plant(delivery=D(40))

    one = add(revision, "hire", {"entry": plant.pk, "days": "1"}, at)
    four = add(revision, "hire", {"entry": plant.pk, "days": "4"}, at)

    # two days at least at £70; four days are £280, the week £200; £40 to bring and fetch
    assert (one.quantity, one.plant) == (D(2), D("180.00"))
    assert four.plant == D("240.00")
    assert "1 × a week at £200" in four.workings[0]["how"]


def test_ground_is_bulked_weighed_and_dug_by_the_same_volume(
    world: QuoteWorld, at: datetime
) -> None:
    revision = world.start()
    dig = make_work_item("DIG", "m3", "none", {"labour_hours": "1.2", "plant": "8"})

    away = add(
        revision, "muck", {"entry": make_ground().pk, "depth_mm": "150"}, at, dig_item_id=dig.pk
    )  # fmt: skip

    # 21.08 m² × 0.15 m = 3.162 m³; × 1.3 × 1.3 t = 5.34378 t: one load of 8 t, £22 a tonne
    assert (away.quantity, away.plant, away.other) == (D("5.344"), D("95.00"), D("117.56"))
    dug = Line.objects.get(work_item=dig)
    assert (dug.quantity, dug.direct) == (D("3.162"), D("139.13"))  # × (1.2 h × £30 + £8)


def test_daywork_is_prime_cost_and_percentages_or_priced_as_other_work(
    world: QuoteWorld, at: datetime
) -> None:
    revision = world.start()
    asked = {"hours": "8", "plant": "70", "material": "30"}

    plain = add(revision, "daywork", asked, at)
    FirmRates.objects.update(
        daywork_labour_percent=D(90), daywork_plant_percent=D(15), daywork_material_percent=D(10)
    )
    added = add(revision, "daywork", asked, at)

    assert (plain.direct, plain.fixed) == (D("340.00"), None)
    # 240 × 1.90 + 70 × 1.15 + 30 × 1.10
    assert (added.direct, added.fixed) == (D("340.00"), D("569.50"))
    sheet = sheet_of(Revision.objects.get(pk=revision.pk))
    assert [line.provisional for line in sheet.lines][-2:] == [True, True]


def test_small_jobs_alone_are_made_up_to_the_least_price(world: QuoteWorld, at: datetime) -> None:
    FirmRates.objects.update(minimum_charge=D(250))
    revision = world.start()
    for line in list(revision.lines.all()):
        services.remove_line(line_id=line.pk, by=None, at=at)

    add(revision, "small", {"entry": make_small_job().pk, "quantity": "2"}, at)

    fresh = Revision.objects.get(pk=revision.pk)
    piece, made_up = fresh.lines.all()
    assert (piece.net, piece.direct, made_up.net) == (D(170), D(84), D(80))
    assert fresh.net == D(250)
    with pytest.raises(ServiceError, match="follows from"):
        services.remove_line(line_id=made_up.pk, by=None, at=at)
    add(revision, "small", {"entry": make_small_job().pk, "quantity": "1"}, at)
    assert [line.kind for line in fresh.lines.all()] == ["small", "small"]


@pytest.mark.parametrize(
    ("kind", "asked", "field"),
    [
        ("travel", {"trips": 0, "people": 1, "miles": "4"}, "trips"),
        ("travel", {"trips": 1, "people": 1, "miles": "NaN"}, "miles"),
        ("hire", {"days": "3"}, "entry"),
        ("hire", {"entry": 999_999, "days": "3"}, "entry"),
        ("hire", {"entry": "x", "days": "3"}, "entry"),
        ("muck", {"entry": 1}, "entry"),
        ("daywork", {}, "hours"),
        ("surface", {}, "kind"),
    ],
)
def test_what_will_not_do_is_refused_at_its_field(
    world: QuoteWorld, at: datetime, kind: str, asked: dict[str, Any], field: str
) -> None:
    revision = world.start()

    with pytest.raises(ServiceError) as refused:
        add(revision, kind, asked, at)

    assert refused.value.field == field
    assert revision.lines.count() == 2


def test_other_figures_and_another_days_rates_move_a_draft_and_nothing_sent(
    world: QuoteWorld, at: datetime
) -> None:
    revision, plant = world.start(), make_plant()
    line = add(revision, "hire", {"entry": plant.pk, "days": "2"}, at, words="Compactor")
    services.change_asked_line(
        line_id=line.pk, asked={"entry": plant.pk, "days": "3"}, words="Compactor", by=None, at=at
    )
    assert Line.objects.get(pk=line.pk).plant == D("200.00")
    sent = services.send_revision(
        revision_id=revision.pk, to="home@customer.example", by=None, at=at
    )

    later = at + timedelta(days=4)
    PlantRate.objects.create(entry=plant, valid_from=date(2026, 5, 16), day_rate=D(110))
    assert price_rise(sent, later.date()) == D("130.00")  # three days at £110, not a week at £200
    new = services.revise(revision_id=sent.pk, by=None, at=later)
    services.reprice(revision_id=new.pk, by=None, at=later)

    fresh = Line.objects.get(revision=new, kind="hire")
    assert (fresh.words, fresh.plant) == ("Compactor", D("330.00"))
    assert Line.objects.get(pk=line.pk).plant == D("200.00")
    assert Revision.objects.get(pk=sent.pk).net == sent.net


def test_pages_ask_say_what_is_wrong_and_keep_what_was_typed(
    world: QuoteWorld, office: Any, client_for: Callable[[Any], Client]
) -> None:
    revision, job = world.start(), make_small_job()
    client, base = client_for(office), f"/quotes/{revision.pk}/"

    page = client.get(base).content.decode()
    both = client.post(
        f"{base}lines/add/travel/",
        {"trips": "1", "people": "2", "miles": "12", "sum": "40", "version": revision.version},
    )
    odd = client.post(f"{base}lines/add/hire/", {"entry": "7", "days": "soon"})
    pressed = client.post(f"{base}small-job/", {"entry": job.pk})

    assert job.name in page
    assert "Give miles and hours, or a fixed sum." in both.content.decode()
    assert 'value="12"' in both.content.decode()
    assert (both.status_code, odd.status_code, pressed.status_code) == (422, 422, 302)
    assert 'value="soon"' in odd.content.decode()
    line = Line.objects.get(revision=revision, kind="small")
    assert (line.words, line.net) == (job.name, D(85))
    figures = client.get(f"{base}lines/{line.pk}/figures/")
    assert figures.status_code == 404  # its figures are its quantity and the book's


def test_the_chance_of_running_short_is_told_with_both_costs_and_only_to_some(
    world: QuoteWorld, owner: Any, office: Any, client_for: Callable[[Any], Client]
) -> None:
    url = f"/quotes/{world.start().pk}/"

    told = client_for(owner).get(url).content.decode()

    # a mix: a kit at 42.50, 4 × 7.40, 8.10, 2.20 = 82.40; a visit: that, 8 h at £30, 20 × 45 p
    assert "£82.40 of material if it is used" in told
    assert "about £331.40" in told
    # unopened: £6 of carriage, a quarter of an hour at £30, 5 % of 82.40
    assert "£17.62 if it comes back unopened" in told
    assert "Chance of running short" not in client_for(office).get(url).content.decode()
