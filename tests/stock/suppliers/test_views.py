"""Pages of suppliers: channels with cut-offs, closed days, prices with dates and pack breaks."""

from __future__ import annotations

from datetime import date, time, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.urls import reverse

from jobs.kernel.clock import london_day, now
from jobs.kernel.templatetags.firm import day_year
from stock.suppliers.models import Channel, ChannelCharge, Cutoff, Supplier, SupplierPrice
from tests.factories import AT, DAY, make_charge, make_kit, make_price, make_supplier
from tests.stock.pages import queries_of
from tests.stock.suppliers.roles import data

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_costs_the_same_for_any_number_of_rows(
    count: int, client_for: Any, storeman: Any
) -> None:
    for _ in range(count):
        make_price(make_supplier(), make_kit())
    # session, user, 2 of permissions; count, rows
    assert queries_of(client_for(storeman), reverse("suppliers:list")) == 6


def test_days_of_the_week_are_kept_as_a_string(client_for: Any, storeman: Any) -> None:
    client_for(storeman).post(reverse("suppliers:create"), data())
    supplier = Supplier.objects.get()
    assert (supplier.works, supplier.delivers) == ("1111100", "1010000")


def test_a_time_zone_that_is_none_is_refused(client_for: Any, storeman: Any) -> None:
    page = client_for(storeman).post(reverse("suppliers:create"), data() | {"clock": "Mars/Base"})
    assert page.status_code == 422
    assert page.context["form"].errors["clock"] == [
        "'Mars/Base' is no time zone; write it like Europe/London."
    ]


def test_a_channel_is_changed_in_place_with_its_cutoffs(client_for: Any, storeman: Any) -> None:
    supplier = make_supplier()
    client, url = client_for(storeman), reverse("suppliers:channel", args=[supplier.pk])
    form = client.get(f"{url}?kind=online").context["form"]
    assert (form.initial["lead_days"], form.initial["cutoff_4"]) == (2, time(11, 45))
    sent = data() | {"kind": "online", "lead_days": 3, "cutoff_0": "10:30:59", "cutoff_5": ""}
    assert client.post(url, sent).status_code == 302
    channel = Channel.objects.get(supplier=supplier, kind="online")
    assert channel.lead_days == 3
    assert list(channel.cutoffs.values_list("weekday", "wall_time")) == [(0, time(10, 30, 59))]


def test_charges_hold_from_their_day_and_those_of_the_past_stay(
    client_for: Any, storeman: Any, crew: Any
) -> None:
    supplier, today = make_supplier(), london_day(now())
    supplier.channels.filter(kind="telephone").delete()
    client, url = client_for(storeman), reverse("suppliers:channel", args=[supplier.pk])
    form = client.get(f"{url}?kind=online").context["form"]
    assert (form.initial["carriage"], form.initial["valid_from"]) == (Decimal(45), today)
    sent = data() | {"kind": "online", "carriage": "45"}
    later = today + timedelta(days=30)
    for days, figures in (
        (0, {}),  # the same figures: only the cut-offs change
        (30, {"carriage": "51.5", "minimum": "120", "free_from": "600"}),
        (30, {"carriage": "52.5", "minimum": "120", "free_from": "600"}),  # put right
        (0, {"carriage": "48", "free_from": "0"}),
    ):
        day = today + timedelta(days=days)
        assert client.post(url, sent | figures | {"valid_from": day}).status_code == 302
    channel = supplier.channels.get()
    assert list(
        channel.charges.order_by("valid_from").values_list(
            "valid_from", "carriage", "minimum", "free_from"
        )
    ) == [
        (date(2026, 1, 1), Decimal(45), Decimal(0), None),
        (today, Decimal(48), Decimal(0), Decimal(0)),
        (later, Decimal("52.5"), Decimal(120), Decimal(600)),
    ]  # fmt: skip
    text = client.get(supplier.get_absolute_url()).content.decode()
    assert "carriage £48.00, free from £0.00<br>" in text
    assert f"from {day_year(later)}: carriage £52.50, at least £120.00, free from £600.00" in text
    assert f"until {day_year(today - timedelta(days=1))}: carriage £45.00" in text
    assert "£" not in client_for(crew).get(supplier.get_absolute_url()).content.decode()
    assert client.post(url, sent | {"valid_from": "soon"}).status_code == 422


@pytest.mark.parametrize("count", [1, 3])
def test_a_suppliers_page_costs_the_same_for_any_number_of_charges(
    count: int, client_for: Any, storeman: Any
) -> None:
    supplier = make_supplier()
    for channel in supplier.channels.all():
        for days in range(1, count):
            make_charge(channel, "50", valid_from=DAY + timedelta(days=days))
    # session, user, 2 of permissions; supplier, channels, cut-offs, charges, closed days, prices
    assert queries_of(client_for(storeman), supplier.get_absolute_url()) == 10


def test_the_charges_of_a_day_are_the_latest_begun() -> None:
    one, other = make_supplier().channels.all()
    for days, carriage in ((0, "50"), (2, "60")):
        make_charge(one, carriage, valid_from=DAY + timedelta(days=days))
    found = [
        dict(
            ChannelCharge.objects.holding(DAY + timedelta(days=days)).values_list(
                "channel", "carriage"
            )
        )
        for days in (-1, 0, 1, 2, 3)
    ]
    assert [rows[one.pk] for rows in found] == [45, 50, 50, 60, 60]
    assert {rows[other.pk] for rows in found} == {Decimal(45)}
    assert ChannelCharge.objects.of_channel(one.pk, date(2025, 12, 31)) is None


def test_a_channel_without_any_cutoff_is_refused(client_for: Any, storeman: Any) -> None:
    supplier = make_supplier()
    url = reverse("suppliers:channel", args=[supplier.pk])
    page = client_for(storeman).post(url, data() | {"cutoff_0": ""})
    assert page.status_code == 422
    assert Cutoff.objects.filter(channel__kind="counter").count() == 0


def test_prices_stand_beside_each_other_by_day_and_break(client_for: Any, storeman: Any) -> None:
    supplier, client = make_supplier(), client_for(storeman)
    kit = make_kit()
    url = reverse("suppliers:price", args=[supplier.pk])
    for packs, price in ((1, "61.25"), (10, "58.40"), (10, "58.90")):
        sent = data() | {"item": kit.pk, "from_packs": packs, "pack_price": price}
        assert client.post(url, sent).status_code == 302
    assert [
        (row.from_packs, str(row.pack_price), row.valid_from)
        for row in SupplierPrice.objects.order_by("from_packs")
    ] == [(1, "61.2500", DAY), (10, "58.9000", DAY)]


def test_the_crew_sees_no_prices(client_for: Any, crew: Any, storeman: Any) -> None:
    supplier = make_supplier()
    make_price(supplier, make_kit(), "61.25")
    url = supplier.get_absolute_url()
    assert "£61.25" in client_for(storeman).get(url).content.decode()
    text = client_for(crew).get(url).content.decode()
    assert "61.25" not in text
    assert "£45.00" not in text


def test_an_items_page_says_who_sells_it_to_those_who_may_know(
    client_for: Any, storeman: Any, crew: Any, django_assert_num_queries: Any
) -> None:
    kit, first, second = make_kit(), make_supplier(), make_supplier()
    make_price(first, kit, "52.00", valid_from=DAY - timedelta(days=400))
    make_price(first, kit, "55.25", valid_from=DAY - timedelta(days=30), supplier_code="K-7")
    make_price(first, kit, "49.90", valid_from=DAY - timedelta(days=30), from_packs=20)
    make_price(first, kit, "99.00", valid_from=london_day(now()) + timedelta(days=1))
    make_price(make_supplier(archived_at=AT), kit, "1.00")
    with django_assert_num_queries(1):
        rows = SupplierPrice.objects.on(DAY).of_item(kit).latest_of_each()
    assert [(row.supplier, str(row.pack_price)) for row in rows] == [
        (first, "55.2500"), (first, "49.9000")
    ]  # fmt: skip
    make_price(second, kit, "54.00")
    url = reverse("catalogue:detail", args=[kit.pk])
    text = client_for(storeman).get(url).content.decode()
    assert f"{first}</a>: £55.25 a kit, without VAT" in text
    assert "£49.90 a kit from 20, without VAT" in text
    assert f"{second}</a>: £54.00 a kit" in text
    assert "£99.00" not in text
    assert "£" not in client_for(crew).get(url).content.decode()
