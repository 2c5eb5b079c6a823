"""Who may see suppliers, and change them."""

from __future__ import annotations

from datetime import timedelta

from django.core.files.uploadedfile import SimpleUploadedFile

from stock.suppliers.services import close_day
from tests.factories import AT, DAY, make_kit, make_supplier, numbers
from tests.role_rows import Row, World, everybody, only


def data() -> dict[str, object]:
    return {
        "name": f"Northern Aggregates {next(numbers)}", "clock": "Europe/London",
        "works": ["0", "1", "2", "3", "4"], "delivers": ["0", "2"], "claim_days": 2,
        "kind": "counter", "lead_days": 1, "carriage": "0", "minimum": "0", "cutoff_0": "11:45",
        "calendar": "works", "day": DAY + timedelta(days=9), "reason": "stocktake",
        "item": make_kit().pk, "pack_price": "61.2500", "from_packs": 1, "valid_from": DAY,
    }  # fmt: skip


def new() -> World:
    return World({}, data())


def supplier() -> World:
    return World({"pk": make_supplier().pk}, data())


def closed() -> World:
    found = close_day(
        supplier_id=make_supplier().pk, calendar="works", day=DAY, reason="shut", by=None, at=AT
    )
    return World({"pk": found.pk})


def sheet() -> World:
    supplier, kit = make_supplier(), make_kit()
    head = 'Supplier,Item code,Holds from,From packs,"A pack, £"'
    text = f"{head}\r\n{supplier.name},{kit.code},2026-05-01,1,61.25"
    return World({}, {"file": SimpleUploadedFile("prices.csv", text.encode())})


def missing() -> World:
    return World({"pk": 999_999})


STOREMAN = ("owner", "storeman")
BOOK = (
    "stock.Supplier", "stock.Channel", "stock.ChannelCharge", "stock.Cutoff",
    "stock.SupplierClosedDay", "stock.SupplierPrice",
)  # fmt: skip
GONE = dict.fromkeys(("owner", "office", "storeman", "accountant", "crew", "stranger"), 404)
ROWS = [
    Row("suppliers:list", "GET", everybody()),
    Row("suppliers:detail", "GET", everybody(), supplier),
    Row("suppliers:detail", "GET", GONE, missing, "other"),
    Row("suppliers:export", "GET", only("owner", "office", "storeman", "accountant")),
    Row("suppliers:import", "GET", only(*STOREMAN)),
    Row("suppliers:import", "POST", only(*STOREMAN), sheet, models=BOOK),
    Row("suppliers:create", "GET", only(*STOREMAN)),
    Row("suppliers:create", "POST", only(*STOREMAN, status=302), new, models=BOOK),
    *[
        row
        for name in ("edit", "channel", "close_day", "price")
        for row in (
            Row(f"suppliers:{name}", "GET", only(*STOREMAN), supplier),
            Row(f"suppliers:{name}", "POST", only(*STOREMAN, status=302), supplier, models=BOOK),
            Row(f"suppliers:{name}", "POST", GONE, missing, "other", BOOK),
        )
    ],
    Row("suppliers:open_day", "POST", only(*STOREMAN, status=302), closed, models=BOOK),
    Row("suppliers:open_day", "POST", GONE, missing, "other", BOOK),
]
