"""The yard's list, the scanner's field and the page of a lot."""

from __future__ import annotations

import csv
import io
from datetime import timedelta
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone

from stock.ledger.models import Lot
from tests.factories import make_kit, make_lot, make_place, make_stone
from tests.stock.pages import queries_of

pytestmark = pytest.mark.django_db


def codes(page: Any) -> list[str]:
    return [row.record.code for row in page.context["table"].rows]


def yard(client: Any, **query: Any) -> Any:
    return client.get(reverse("ledger:list"), query)


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_costs_the_same_for_any_number_of_rows(
    count: int, client_for: Any, storeman: Any
) -> None:
    for _ in range(count):
        make_lot(make_kit())
    # session, user, 2 of permissions; places of the filter, count, rows
    assert queries_of(client_for(storeman), reverse("ledger:list")) == 7


def test_search_by_lot_run_item_and_place(client_for: Any, storeman: Any) -> None:
    client = client_for(storeman)
    bay = make_place(name="rack nine")
    stone = make_lot(make_stone(name="Amber 2–5 mm"), run="26-0117", place=bay)
    make_lot(make_kit())
    for words in (stone.code, "26-0117", "amber", "rack nine", "amber 26-0117"):
        assert codes(yard(client, q=words)) == [stone.code]


def test_filters_by_kind_place_state_date_and_what_is_used_up(
    client_for: Any, storeman: Any
) -> None:
    client = client_for(storeman)
    today = timezone.localdate()
    bay = make_place()
    kit = make_lot(make_kit(), expiry=today + timedelta(days=9), place=bay)
    stone = make_lot(make_stone())
    Lot.objects.filter(pk=stone.pk).update(status="held", held_reason="damp")
    gone = make_lot(make_kit(), expiry=today + timedelta(days=99))
    Lot.objects.filter(pk=gone.pk).update(on_hand=0)
    assert codes(yard(client)) == [kit.code, stone.code]
    assert codes(yard(client, kind="stone")) == [stone.code]
    assert codes(yard(client, place=bay.pk)) == [kit.code]
    assert codes(yard(client, status="held")) == [stone.code]
    assert codes(yard(client, within=9)) == [kit.code]
    assert codes(yard(client, within=8)) == []
    assert codes(yard(client, used="all")) == [kit.code, gone.code, stone.code]
    assert "Nothing matches" in yard(client, within="soon").content.decode()


def test_the_export_has_the_lists_rows(client_for: Any, storeman: Any) -> None:
    lot = make_lot(make_kit(), 7)
    page = yard(client_for(storeman), export="csv")
    head, *rows = list(csv.reader(io.StringIO(page.content.decode())))
    assert head[0] == "Lot"
    assert [(row[0], row[head.index("In the yard")]) for row in rows] == [(lot.code, "7")]


def test_scanning_a_code_opens_the_lot(client_for: Any, storeman: Any) -> None:
    client = client_for(storeman)
    lot = make_lot(make_kit())
    texts = (
        lot.code,
        lot.code.lower(),
        f" {lot.code} ",
        str(lot.uid),
        f"https://yard.example/l/{lot.uid}/",
    )
    for text in texts:
        answer = client.get(reverse("ledger:scan"), {"code": text})
        assert answer.headers["Location"] == lot.get_absolute_url()


def test_scanning_something_else_searches_the_list(client_for: Any, storeman: Any) -> None:
    page = client_for(storeman).get(reverse("ledger:scan"), {"code": "26-0117"}, follow=True)
    assert page.request["QUERY_STRING"] == "q=26-0117&used=all"
    assert "No lot has the code" in page.content.decode()


def test_the_field_has_the_focus(client_for: Any, storeman: Any) -> None:
    text = yard(client_for(storeman)).content.decode()
    assert text.count("autofocus") == 1
    assert '<input type="text" name="code" id="code"' in text


def test_a_lots_page_hides_its_cost_from_those_who_may_not_see_it(
    client_for: Any, storeman: Any, owner: Any
) -> None:
    lot = make_lot(make_kit(), 7)
    url = lot.get_absolute_url()
    assert "Landed cost" not in client_for(storeman).get(url).content.decode()
    assert "£70.00" in client_for(owner).get(url).content.decode()


def test_holding_without_a_reason_is_a_sentence_at_the_field(
    client_for: Any, storeman: Any
) -> None:
    lot = make_lot(make_kit())
    client = client_for(storeman)
    page = client.post(reverse("ledger:hold", args=[lot.pk]), {"reason": " "})
    assert (page.status_code, "reason" in page.context["form"].errors) == (422, True)
    client.post(reverse("ledger:hold", args=[lot.pk]), {"reason": "hot in the van"})
    page = client.get(lot.get_absolute_url())
    assert "hot in the van" in page.content.decode()
    assert lot.movements.count() == 1


def test_what_happened_to_a_lot_leads_to_the_posting_that_can_be_undone(
    client_for: Any, storeman: Any
) -> None:
    lot = make_lot(make_kit())
    posting = lot.movements.get().posting
    page = client_for(storeman).get(lot.get_absolute_url())
    assert f'href="{reverse("movements:detail", args=[posting.pk])}"' in page.content.decode()
