"""Who may see and change the price book."""

from __future__ import annotations

from tests.quotes.world import make_rates, make_work_item
from tests.role_rows import Row, World, only


def item() -> World:
    make_rates()
    found = make_work_item("LIFT", "m2", "area", {"plant": "6.50"}, name="Lift")
    rate = {
        "valid_from": "2026-03-01", "labour_hours": "0.2", "plant": "7", "material": "0",
        "waste_percent": "0",
    }  # fmt: skip
    return World({"pk": found.pk}, {"name": "Lifting", "measure": "area"} | rate)


def new() -> World:
    return World({}, {"code": "DIG", "name": "Dig", "unit": "m3", "measure": "none"})


def rates() -> World:
    figures = {
        "valid_from": "2026-01-01", "labour_hourly": "30", "overhead_percent": "12",
        "margin_percent": "25", "vat_percent": "20", "waste_percent": "5",
        "deposit_percent": "25", "minimum_charge": "0", "validity_days": "30",
    }  # fmt: skip
    return World({}, figures)


def missing() -> World:
    return World({"pk": 999_999})


SEE = ("owner", "accountant")
TABLES = ("quotes.WorkItem", "quotes.WorkItemRate", "quotes.FirmRates")
GONE = dict.fromkeys(("owner", "office", "storeman", "accountant", "crew", "stranger"), 404)
ROWS = [
    Row("pricebook:list", "GET", only(*SEE)),
    Row("pricebook:rates", "GET", only(*SEE), rates),
    Row("pricebook:add_rates", "GET", only(*SEE)),
    Row("pricebook:add_rates", "POST", only(*SEE, status=302), rates, models=TABLES),
    Row("pricebook:create", "GET", only(*SEE)),
    Row("pricebook:create", "POST", only(*SEE, status=302), new, models=TABLES),
    Row("pricebook:detail", "GET", only(*SEE), item),
    Row("pricebook:detail", "GET", GONE, missing, "other"),
    Row("pricebook:edit", "GET", only(*SEE), item),
    Row("pricebook:edit", "POST", only(*SEE, status=302), item, models=TABLES),
    Row("pricebook:edit", "POST", GONE, missing, "other", TABLES),
    Row("pricebook:rate", "GET", only(*SEE), item),
    Row("pricebook:rate", "POST", only(*SEE, status=302), item, models=TABLES),
    Row("pricebook:archive", "POST", only(*SEE, status=302), item, models=TABLES),
    Row("pricebook:archive", "POST", GONE, missing, "other", TABLES),
]
