"""The price book as a sheet: what it would change is shown, and it changes no past day."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from openpyxl import load_workbook

from quotes.pricebook.models import WorkItem, WorkItemRate
from tests.factories import make_edging, make_sand
from tests.quotes.world import make_plant, make_work_item

pytestmark = pytest.mark.django_db
HEAD = 'Code,Work,Unit,Measured as,Holds from,"Labour, h","Plant, £",From the yard'


@pytest.fixture
def client(owner: Any, client_for: Callable[[Any], Client]) -> Client:
    return client_for(owner)


def bring(client: Client, *rows: str) -> Any:
    data = "\r\n".join([HEAD, *rows]).encode()
    return client.post("/prices/sheet/", {"file": SimpleUploadedFile("book.csv", data)})


def kinds(page: Any) -> list[tuple[int, str]]:
    return [(row.line, row.kind) for row in page.context["found"].rows]


def test_changed_figures_begin_on_the_sheets_day(client: Client) -> None:
    lift = make_work_item("LIFT", "m2", "area", {"labour_hours": "0.25", "plant": "6.50"})
    make_work_item("EDGE", "m", "edge", {"labour_hours": "0.15"})
    edging = make_edging(code="EDG-1")

    page = bring(
        client,
        "LIFT,Lift,m²,area of the surface,2026-06-01,0.25,7.25,",
        "EDGE,Edge,m,open edge with edging,2026-06-01,0.15,0,",
        "EDGE-2,Steel edge,m,open edge with edging,2026-06-01,0.2,,EDG-1 1000",
    )

    assert kinds(page) == [(2, "changed"), (3, "same"), (4, "new")]
    changes = [(c.head, c.before, c.after) for c in page.context["found"].rows[0].changes]
    assert changes == [("Holds from", "2026-01-01", "2026-06-01"), ("Plant, £", "6.5", "7.25")]
    assert WorkItemRate.objects.count() == 2  # only looked at
    done = client.post("/prices/sheet/", {"rows": page.context["carried"]})
    assert (done.status_code, done["Location"]) == (302, "/prices/")
    assert [(rate.valid_from, rate.plant) for rate in lift.rates.order_by("valid_from")] == [
        (date(2026, 1, 1), Decimal("6.5000")), (date(2026, 6, 1), Decimal("7.2500")),
    ]  # fmt: skip
    steel = WorkItem.objects.get(code="EDGE-2")
    assert steel.rates.get().stock.get().item == edging
    assert WorkItemRate.objects.count() == 4


def test_one_refused_row_refuses_the_file_with_a_sentence_each(client: Client) -> None:
    make_work_item("LIFT", "m2", "area", {"plant": "6.50"})
    make_work_item("EDGE", "m", "edge", {"labour_hours": "0.15"})

    page = bring(
        client,
        "NEW,New work,t,,2026-06-01,1,1,",
        "LIFT,Lift,m²,area of the surface,2026-01-01,0,7.25,",
        "EDGE,Edge,m²,,2026-06-01,0.15,,",
        "AREA,Area,m,area of the surface,2026-06-01,1,1,",
        "lift,Lift,m²,,2026-06-01,1,1,",
        "BAD,Bad,m²,,next week,many,-1,NOT-THERE 4",
        "HALF,Half,m²,,2026-06-01,1,1,EDG-1",
    )

    assert page.status_code == 422
    assert kinds(page) == [(2, "new"), *((line, "refused") for line in range(3, 9))]
    said = [" ".join(row.sentences) for row in page.context["found"].rows]
    for sentence, words in zip(
        said[1:],
        ("must begin on a later day", "counted in m; rates hang", "counted in m²",
         "Another work item has this code", "is no day", "is not whole"),
        strict=True,
    ):  # fmt: skip
        assert words in sentence
    assert "no figure" in said[5]
    assert "no item with the code" in said[5]
    assert page.context["carried"] == ""
    assert (WorkItem.objects.count(), WorkItemRate.objects.count()) == (2, 2)


def test_a_sheet_without_machines_leaves_them(client: Client) -> None:
    machine = make_plant()
    rate = {"plant": "1", "machine": machine, "machine_days": "0.02"}
    item = make_work_item("SUB", "m2", "area", rate)

    page = bring(client, "SUB,Sub,m²,area of the surface,2026-06-01,0,7,")
    client.post("/prices/sheet/", {"rows": page.context["carried"]})

    last = item.rates.latest("valid_from")
    assert (last.plant, last.machine, last.machine_days) == (7, machine, Decimal("0.02"))


def test_the_books_may_not_change_between_looking_and_taking(client: Client) -> None:
    item = make_work_item("LIFT", "m2", "area", {"plant": "6.50"})
    page = bring(client, "LIFT,Lift,m²,area of the surface,2026-06-01,0,7,")
    WorkItemRate.objects.create(work_item=item, valid_from=date(2026, 5, 1), plant=Decimal(9))

    client.post("/prices/sheet/", {"rows": page.context["carried"]})

    assert item.rates.count() == 2


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_what_goes_out_comes_back_unchanged(client: Client, kind: str) -> None:
    make_work_item("LIFT", "m2", "area", {"labour_hours": "0.25", "plant": "6.5"}, name="=Lift")
    # codes that look like what parts them
    taken = {make_edging(code="EDG; 18 mm"): 1000, make_sand(code="SND 2"): 400}
    rate = {"stock": taken, "machine": make_plant(), "machine_days": "0.02"}
    make_work_item("EDGE", "m", "edge", rate)
    WorkItem.objects.create(code="BARE", name="Bare", unit="each", measure="none")

    data = client.get(f"/prices/sheet/file/?export={kind}").content
    back = client.post("/prices/sheet/", {"file": SimpleUploadedFile(f"book.{kind}", data)})

    rows = (
        list(csv.reader(io.StringIO(data.decode())))
        if kind == "csv"
        else list(load_workbook(io.BytesIO(data)).worksheets[0].iter_rows(values_only=True))
    )
    assert [row[0] for row in rows] == ["Code", "BARE", "EDGE", "LIFT"]
    assert rows[2][rows[0].index("From the yard")] == "EDG; 18 mm 1000; SND 2 400"
    assert kinds(back) == [(2, "same"), (3, "same"), (4, "same")]


def test_several_items_of_the_yard_come_in_by_their_codes(client: Client) -> None:
    make_edging(code="EDG-1"), make_sand(code="SND-2")
    item = make_work_item("SUB", "m2", "area", {"plant": "1"})
    row = "{},Sub,m²,area of the surface,2026-06-01,0,1,{}"

    wrong = bring(
        client,
        row.format("SUB", "EDG-1 1000; edg-1 5"),
        row.format("A", "EDG-1 0"),
        row.format("B", "SND-2 2.5"),
        row.format("C", "EDG-1 1000 SND-2"),
    )
    said = [" ".join(each.sentences) for each in wrong.context["found"].rows]
    for sentence, words in zip(
        said, ("twice; give it once", "at least 1", "0 places", "like EDG-1 1000"), strict=True
    ):
        assert words in sentence
    page = bring(client, row.format("SUB", "snd-2 400;EDG-1 1000"))
    client.post("/prices/sheet/", {"rows": page.context["carried"]})

    last = item.rates.latest("valid_from")
    assert [(each.item.code, each.quantity) for each in last.stock.all()] == [
        ("EDG-1", 1000), ("SND-2", 400),
    ]  # fmt: skip
    same = bring(client, row.format("SUB", "EDG-1 1000; SND-2 400"))
    assert kinds(same) == [(2, "same")]
    # fewer of them are a change too
    assert kinds(bring(client, row.format("SUB", "EDG-1 1000"))) == [(2, "refused")]


def test_figures_need_their_day(client: Client) -> None:
    page = bring(client, "A,No day,m²,,,1,1,", "B,No figures yet,m²,,,,,")

    assert kinds(page) == [(2, "refused"), (3, "new")]
    assert page.context["found"].rows[0].sentences == (
        "Holds from: give the day from which the figures hold.",
    )
