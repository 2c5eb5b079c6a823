"""Plant, ground, small jobs and the firm's rates as sheets: days of the past stand."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
import tablib
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from quotes.pricebook.models import FirmRates, GroundRate, Plant, PlantRate, SmallJob, SmallJobRate
from tests.quotes.world import make_plant, make_rates, make_small_job

pytestmark = pytest.mark.django_db
D = Decimal
PLANT = 'Name,Holds from,"A day, £","A week, £"'
RATES = 'Holds from,"Labour, £ an hour","Overhead, %","Margin, %"'


@pytest.fixture
def client(owner: Any, client_for: Callable[[Any], Client]) -> Client:
    return client_for(owner)


def bring(client: Client, kind: str, *rows: str) -> Any:
    file = SimpleUploadedFile("book.csv", "\r\n".join(rows).encode())
    return client.post(f"/prices/sheet/{kind}/", {"file": file})


def take(client: Client, kind: str, page: Any) -> Any:
    assert page.status_code == 200, [row.sentences for row in page.context["found"].rows]
    return client.post(f"/prices/sheet/{kind}/", {"rows": page.context["carried"]})


def test_a_new_name_is_new_plant_and_a_later_day_gives_new_figures(client: Client) -> None:
    known = make_plant()
    before = known.rates.get()
    page = bring(
        client, "plant", PLANT, f"{known.name},2026-06-01,75,", "Breaker,2026-06-01,45.50,150",
    )  # fmt: skip
    assert [row.kind for row in page.context["found"].rows] == ["new", "new"]
    assert PlantRate.objects.count() == 1

    done = take(client, "plant", page)

    assert (done.status_code, done["Location"]) == (302, "/prices/book/plant/")
    assert known.rates.get(valid_from=date(2026, 6, 1)).day_rate == 75
    assert known.rates.get(pk=before.pk).day_rate == before.day_rate
    breaker = Plant.objects.get(name="Breaker").rates.get()
    assert (breaker.day_rate, breaker.week_rate, breaker.minimum_days) == (D("45.5"), D(150), 1)


def test_days_of_the_past_stand(client: Client) -> None:
    known = make_plant()
    first = known.rates.get().valid_from
    page = bring(
        client, "plant", PLANT, f"{known.name},{first},999,", f"{known.name},2020-01-01,70,",
        "Saw,2026-06-01,,", "Saw,someday,1,",
    )  # fmt: skip
    assert page.status_code == 422
    assert [row.sentences[0] for row in page.context["found"].rows] == [
        "Holds from: the book has other figures from that day; they stay. Give a later day.",
        f"The figures in the book hold from {first:%d %b %Y}; new ones must begin on a later day.",
        "A day, £: Give a figure, like 12.50.",
        "Holds from: 'someday' is no day; write it like 2026-05-14 or 14/05/2026.",
    ]
    assert PlantRate.objects.count() == 1


def test_ground_and_small_jobs_come_in_too(client: Client) -> None:
    small = make_small_job()
    page = bring(
        client, "ground", "Name,Holds from,Loose m³ from a solid m³,t a loose m³,\"A load, t\"",
        "Clay,2026-06-01,1.35,1.4,14", "Ice,2026-06-01,0.9,1,14",
    )  # fmt: skip
    assert [row.kind for row in page.context["found"].rows] == ["new", "refused"]
    page = bring(
        client, "ground", "Name,Holds from,Loose m³ from a solid m³,t a loose m³,\"A load, t\"",
        "Clay,2026-06-01,1.35,1.4,14",
    )  # fmt: skip
    take(client, "ground", page)
    assert GroundRate.objects.get().bulking == D("1.35")

    head = 'Name,Unit,Holds from,"Price before VAT, £"'
    bad = bring(client, "small", head, f"{small.name},m²,2026-06-01,20")
    assert "is sold by each; that stays" in bad.content.decode()
    take(client, "small", bring(client, "small", head, "Weed spray,m²,2026-06-01,4.20"))
    assert SmallJob.objects.get(name="Weed spray").unit == "m2"
    assert SmallJobRate.objects.get(entry__name="Weed spray").price == D("4.20")


def test_the_firms_rates_come_in_by_their_day(client: Client) -> None:
    make_rates()
    head = RATES + ',"Day-work on labour, %"'
    bad = bring(client, "rates", head, "2026-09-01,31,12,25,100")
    assert "give all three additions, or none" in bad.content.decode()
    take(client, "rates", bring(client, "rates", head, "2026-09-01,31,12,25,"))
    rates = FirmRates.objects.latest("valid_from")
    assert (rates.valid_from, rates.labour_hourly, rates.day_hours) == (
        date(2026, 9, 1),
        D(31),
        D(8),
    )
    assert rates.daywork_percents is None


@pytest.mark.parametrize("kind", ["plant", "small", "ground", "rates"])
@pytest.mark.parametrize("form", ["csv", "xlsx"])
def test_what_goes_out_can_come_in_again(kind: str, form: str, client: Client) -> None:
    make_plant()
    make_small_job()
    make_rates()
    data = client.get(f"/prices/sheet/{kind}/file/?export={form}").content
    # Read by a library that shares nothing with our reader.
    table = tablib.Dataset().load(data if form == "xlsx" else data.decode(), format=form)
    assert len(table) == {"ground": 0}.get(kind, 1)
    page = client.post(f"/prices/sheet/{kind}/", {"file": SimpleUploadedFile(f"b.{form}", data)})
    counts = page.context["found"].counts
    assert counts == {"new": 0, "changed": 0, "same": len(table), "refused": 0}


def test_another_word_is_no_sheet(client: Client) -> None:
    assert client.get("/prices/sheet/nothing/").status_code == 404
