"""Prices as a sheet: out and in, put right, and refused by line."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from stock.suppliers.models import SupplierPrice
from tests.factories import make_kit, make_price, make_supplier

pytestmark = pytest.mark.django_db
HEAD = 'Supplier,Item code,Holds from,From packs,"A pack, £"'


@pytest.fixture
def client(storeman: Any, client_for: Callable[[Any], Client]) -> Client:
    return client_for(storeman)


def bring(client: Client, content: bytes) -> Any:
    file = SimpleUploadedFile("prices.csv", content)
    return client.post(reverse("suppliers:import"), {"file": file})


def rows(client: Client, *lines: str) -> Any:
    return bring(client, "\r\n".join([HEAD, *lines]).encode())


def test_prices_go_out_and_come_in_as_they_are(client: Client) -> None:
    make_price(make_supplier(), make_kit(), "61.2500")
    page = bring(client, client.get(reverse("suppliers:export")).content)
    assert [row.kind for row in page.context["found"].rows] == ["same"]


def test_a_new_price_and_one_put_right(client: Client) -> None:
    supplier = make_supplier(name="Northern Stone")
    make_price(supplier, make_kit(code="KIT-1"), "61.25", supplier_code="K7")
    page = rows(
        client, "Northern Stone,kit-1,2026-01-01,1,62.5", "northern stone,KIT-1,01/06/2026,20,£59",
    )  # fmt: skip
    assert [row.kind for row in page.context["found"].rows] == ["changed", "new"]
    client.post(reverse("suppliers:import"), {"rows": page.context["carried"]})
    assert [
        (price.valid_from.isoformat(), price.from_packs, price.pack_price, price.supplier_code)
        for price in SupplierPrice.objects.order_by("valid_from")
    ] == [
        ("2026-01-01", 1, Decimal("62.5000"), "K7"), ("2026-06-01", 20, Decimal("59.0000"), ""),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("Nobody,KIT-1,2026-01-01,1,62.5", "There is no supplier 'Nobody'."),
        ("Northern Stone,KIT-9,2026-01-01,1,62.5", "There is no item with the code 'KIT-9'."),
        ("Northern Stone,KIT-1,soon,1,62.5", "is no day"),
        ("Northern Stone,KIT-1,2026-01-01,0,62.5", "too small"),
        ("Northern Stone,KIT-1,2026-01-01,1,-1", "too small"),
    ],
)
def test_what_is_not_in_the_book_is_refused_by_line(client: Client, line: str, said: str) -> None:
    make_supplier(name="Northern Stone")
    make_kit(code="KIT-1")
    page = rows(client, line)
    assert page.status_code == 422
    (row,) = page.context["found"].rows
    assert said in " ".join(row.sentences)
    assert not SupplierPrice.objects.exists()
