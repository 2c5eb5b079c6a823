"""The trace both ways: quantities that add up, whom to tell, and how material was kept."""

from __future__ import annotations

import csv
import io
from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from pypdf import PdfReader

from jobs.kernel.errors import ServiceError
from stock.laying.services import bay_full
from stock.ledger.models import Balance, Lot, Movement
from stock.movements.services import undo_posting
from stock.tracing.enums import Share
from stock.tracing.queries import job_trace, lots_like, recall_of, shares_of, storage_of
from stock.tracing.services import hold_like
from tests.factories import AT, make_kit, make_lot, make_place, make_sand
from tests.stock.conditions.world import hot, make_resin, move, read
from tests.stock.laying.world import BAG, make_site_with, open_day, tap
from tests.stock.pages import queries_of
from tests.stock.tracing.world import spread

pytestmark = pytest.mark.django_db


def test_a_run_is_every_lot_of_it_with_what_was_split_off() -> None:
    found = spread()
    part = Lot.objects.get(parent=found.stone)
    assert lots_like(part, "run") == lots_like(found.stone, "run")
    assert set(lots_like(found.stone, "run")) == {found.stone, found.second, part}
    assert set(lots_like(found.stone, "lot")) == {found.stone, part}
    assert lots_like(found.second, "lot") == [found.second]


def test_a_batch_of_part_a_is_in_kits_of_several_sizes_and_in_no_other() -> None:
    small, large = make_kit(), make_kit()
    one = make_lot(small, batch_a="A7", batch_b="B1")
    other = make_lot(large, batch_a="a7", batch_b="B2")
    make_lot(small, batch_a="A8", batch_b="A7")
    assert lots_like(one, "a") == [one, other]
    assert lots_like(one, "b") == [one]
    assert shares_of(one) == [Share.LOT, Share.BATCH_A, Share.BATCH_B]
    assert shares_of(make_lot(make_sand())) == [Share.LOT]


def test_the_parts_add_up_to_what_came_whatever_happened() -> None:
    found = spread()
    recall = recall_of(found.stone, "run")
    assert recall.agrees
    (row,) = recall.sums
    # 16 and 10 bags came. Laid: 2 mixes of 4 bags. Waste: a spilt mix of 4 and a torn bag. Back
    # in the bay 2 bags and a quarter; 5 of the second lot were counted there where 6 should be;
    # 3 lie in the van; 16 - 8 - 4 - 2.25 at the site.
    bags = [
        (row.came, 26), (row.laid, 8), (row.waste, 5), (row.missed, 1), (row.vans, 3),
        (row.bays, 7.25), (row.sites, 1.75),
    ]  # fmt: skip
    assert [(figure / BAG, wanted) for figure, wanted in bags if figure / BAG != wanted] == []
    assert row.unaccounted == 0


def test_the_surfaces_are_what_the_mixes_of_each_bay_took() -> None:
    found = spread()
    rows = recall_of(found.stone, "run").surfaces
    assert [(row.bay.name, row.mixes, row.quantity) for row in rows if row.bay] == [
        ("A", "1", 4 * BAG), ("B", "2", 4 * BAG),
    ]  # fmt: skip
    assert len(rows) == 2


def test_the_job_of_it_is_told_and_what_it_brought_back_is_said() -> None:
    found = spread()
    recall = recall_of(found.stone, "run")
    assert recall.to_tell == [found.job]
    (part,) = recall.jobs
    assert part.said == {
        "drawn": "16 bags", "back": "2.25 bags", "laid": "8 bags", "waste": "4 bags",
        "missed": "0 bags", "left": "1.75 bags",
    }  # fmt: skip


def test_a_job_that_brought_all_of_it_back_is_not_told() -> None:
    site = make_site_with(2)
    posting = Movement.objects.get(lot=site.lots["kit"], posting__kind="issue").posting
    undo_posting(posting_id=posting.pk, reason="rain", key=uuid4(), by=None, at=AT)
    recall = recall_of(site.lots["kit"], "a")
    assert (recall.to_tell, recall.agrees) == ([], True)


def test_a_book_that_does_not_add_up_is_said() -> None:
    found = spread()
    row = Balance.objects.filter(lot=found.second, quantity__gt=0).earliest("pk")
    Balance.objects.filter(pk=row.pk).update(quantity=row.quantity + 1)
    assert not recall_of(found.stone, "run").agrees


def test_the_recalls_file_adds_up_to_what_came(client_for: Any, storeman: Any) -> None:
    found = spread()
    url = reverse("tracing:recall_csv", args=[found.stone.pk, "run"])
    answer = client_for(storeman).get(url)
    rows = list(csv.DictReader(io.StringIO(answer.content.decode())))
    came = sum(
        move.quantity
        for move in Movement.objects.filter(lot__run=found.stone.run, posting__kind="receive")
    )
    assert sum(int(row["quantity"]) for row in rows) == came
    told = {row["customer"] for row in rows if row["where"] in {"laid", "site"}}
    assert told == {found.job.customer.name}


@pytest.mark.parametrize("lots", [1, 3])
def test_a_recall_costs_the_same_for_any_number_of_lots(lots: int) -> None:
    stone = spread().stone
    for _ in range(lots):
        make_lot(stone.item, 2, run=stone.run)
    with CaptureQueriesContext(connection) as caught:
        recall_of(stone, "run")
    # lots, movements, balances, goods-in, jobs, their contacts, mixes, bays
    assert len(caught) == 8


def test_the_recall_paper_names_the_lots_and_whom_to_tell(client_for: Any, office: Any) -> None:
    found = spread()
    url = reverse("tracing:recall_pdf", args=[found.stone.pk, "run"])
    answer = client_for(office).get(url)
    text = "".join(page.extract_text() for page in PdfReader(io.BytesIO(answer.content)).pages)
    words = " ".join(text.split())
    for wanted in (found.stone.run, found.second.code, found.job.customer.name, "26 bags"):
        assert wanted in words


# -- holding -------------------------------------------------------------------------------------


def test_holding_a_run_holds_what_is_left_of_it_and_keeps_other_reasons() -> None:
    found = spread()
    part = Lot.objects.get(parent=found.stone)  # came back opened, held already
    held = hold_like(lot_id=found.second.pk, share="run", reason="notice 4", by=None, at=AT)
    assert set(held) == {found.stone, found.second}
    part.refresh_from_db()
    assert part.held_reason.startswith("opened at")
    with pytest.raises(ServiceError) as refusal:
        hold_like(lot_id=found.second.pk, share="run", reason="again", by=None, at=AT)
    assert refusal.value.code == "nothing"


def test_holding_without_a_reason_holds_nothing() -> None:
    lot = make_lot(make_kit())
    with pytest.raises(ServiceError):
        hold_like(lot_id=lot.pk, share="a", reason="  ", by=None, at=AT)
    assert Lot.objects.get(pk=lot.pk).status == "released"


# -- from the surface ----------------------------------------------------------------------------


def test_a_surface_says_its_lots_bay_by_bay() -> None:
    found = spread()
    bay_full(bay_id=found.site.bays[0].pk, area_m2=Decimal("3.10"), by=None, at=AT)
    trace = job_trace(found.job, now=AT)
    (day,) = trace.days
    kit, stone, sand = (found.site.lots[name] for name in ("kit", "stone", "sand"))
    assert [[(part.lot, part.quantity, part.mixes) for part in bay.parts] for bay in day.bays] == [
        [(kit, 1, "1"), (stone, 4 * BAG, "1"), (sand, 2_500, "1")],
        [(kit, 1, "2"), (stone, 4 * BAG, "2"), (sand, 2_500, "2")],
    ]
    assert [(row.lot, row.laid.quantity) for row in trace.lots] == [
        (kit, 2), (stone, 8 * BAG), (sand, 5_000),
    ]  # fmt: skip
    assert trace.unlogged == []


def test_where_a_lot_lay_and_what_was_read_there_meanwhile() -> None:
    first, second = make_place(), make_place()
    lot = make_lot(make_resin(), 4, place=first)  # came seven days before AT
    start = AT - timedelta(days=6)
    read(first, hot(5, value=31.0), start=start)
    move(lot, first, second, 4, start + timedelta(hours=3))
    read(second, [(4, 12.5), (5, 11.0)], start=start)
    before, after = storage_of([lot], now=AT)[lot.pk]
    # Of the first place only the readings until it left count.
    assert (before.place, before.low, before.high, before.readings) == (first, 20, 31, 4)
    assert (after.place, after.low, after.high, after.readings) == (second, 11, 12.5, 2)
    assert (before.end, after.end) == (start + timedelta(hours=3), None)
    assert (before.words, after.words) == (
        "20.0 to 31.0 °C, 4 readings", "11.0 to 12.5 °C, 2 readings",
    )  # fmt: skip


def test_the_surfaces_page_and_file_hold_the_storage_and_the_day(
    client_for: Any, crew: Any
) -> None:
    site = make_site_with(2)
    bay = Movement.objects.get(lot=site.lots["kit"], posting__kind="receive").to_place
    read(bay, [(0, 14), (1, 16.5)])
    open_day(site)
    tap(site)
    client = client_for(crew)
    page = client.get(reverse("tracing:job", args=[site.job.pk])).content.decode()
    for wanted in ("14.0 to 16.5 °C, 2 readings", site.lots["kit"].batch_b, "Air 18"):
        assert wanted in page
    file = client.get(reverse("tracing:job_csv", args=[site.job.pk])).content.decode()
    rows = list(csv.DictReader(io.StringIO(file)))
    assert [row["lot"] for row in rows] == [
        site.lots[name].code for name in ("kit", "stone", "sand")
    ]
    assert rows[0]["read there"] == "14.0 to 16.5 °C, 2 readings"
    assert (rows[0]["air C"], rows[0]["humidity %"]) == ("18.0", "60.0")


# -- lists and pages ------------------------------------------------------------------------------


@pytest.mark.parametrize("count", [1, 3])
def test_the_lists_cost_the_same_for_any_number_of_rows(
    count: int, client_for: Any, storeman: Any
) -> None:
    for _ in range(count):
        site = make_site_with(1)
        open_day(site)
        tap(site)
    client = client_for(storeman)
    # session, user, 2 of permissions; count, rows
    assert queries_of(client, reverse("tracing:list")) == 6
    assert queries_of(client, reverse("tracing:surfaces")) == 6


def test_lots_are_found_by_batch_and_surfaces_by_the_batch_in_them(
    client_for: Any, storeman: Any
) -> None:
    site, other = make_site_with(1), make_site_with(1)
    for each in (site, other):
        open_day(each)
        tap(each)
    client, batch = client_for(storeman), site.lots["kit"].batch_b
    lots = client.get(reverse("tracing:list"), {"q": batch}).context["table"]
    assert [row.record for row in lots.rows] == [site.lots["kit"]]
    assert lots.rows[0].record.job_count == 1
    bays = client.get(reverse("tracing:surfaces"), {"q": batch}).context["table"]
    assert [row.record.lay_day.job for row in bays.rows] == [site.job]


def test_the_crew_sees_the_trace_without_the_customers_telephone(
    client_for: Any, crew: Any, storeman: Any
) -> None:
    found = spread()
    customer = found.job.customer
    customer.phone = "01632 960123"
    customer.save()
    args = [found.stone.pk, "run"]
    page = client_for(crew).get(reverse("tracing:lot", args=args))
    assert (page.status_code, "01632 960123" in page.content.decode()) == (200, False)
    sheet = client_for(storeman).get(reverse("tracing:recall", args=args))
    assert "01632 960123" in sheet.content.decode()


def test_one_press_from_the_lots_page_and_what_is_left_is_held(
    client_for: Any, storeman: Any
) -> None:
    found, client = spread(), client_for(storeman)
    page = client.get(found.second.get_absolute_url()).content.decode()
    assert reverse("tracing:recall", args=[found.second.pk, "run"]) in page
    url = reverse("tracing:hold", args=[found.second.pk, "run"])
    assert client.post(url, {"reason": ""}).status_code == 422
    answer = client.post(url, {"reason": "the maker's notice 4"})
    assert answer.status_code == 302
    found.second.refresh_from_db()
    assert (found.second.status, found.second.held_reason) == ("held", "the maker's notice 4")
    sheet = client.get(answer["Location"]).content.decode()
    assert "Hold what is left" not in sheet


@pytest.mark.parametrize("share", ["run", "x", "lots"])
def test_an_address_that_names_no_share_of_the_lot_is_not_found(
    share: str, client_for: Any, storeman: Any
) -> None:
    lot = make_lot(make_kit())
    assert client_for(storeman).get(f"/trace/lots/{lot.pk}/{share}/").status_code == 404
