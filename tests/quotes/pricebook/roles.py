"""Who may see and change the price book."""

from __future__ import annotations

from django.core.files.uploadedfile import SimpleUploadedFile

from tests.quotes.world import make_plant, make_rates, make_work_item
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
        "mile_rate": "0.45", "crew_size": "2", "day_hours": "8",
    }  # fmt: skip
    return World({}, figures)


def plants() -> World:
    make_plant()
    return World({"kind": "plant"}, {"name": "Breaker", "unit": "each"})


def plant() -> World:
    data = {
        "valid_from": "2026-03-01", "day_rate": "75", "week_rate": "210", "week_days": "5",
        "minimum_days": "1", "delivery": "40",
    }  # fmt: skip
    return World({"kind": "plant", "pk": make_plant().pk}, data)


def unknown_kind() -> World:
    return World({"kind": "horses"}, {"name": "Dobbin"})


def missing_plant() -> World:
    return World({"kind": "plant", "pk": 999_999})


def sheet() -> World:
    text = "Code,Work,Unit,Holds from\r\nDIG,Dig,m3,2026-03-01\r\n"
    return World({}, {"file": SimpleUploadedFile("book.csv", text.encode())})


def plant_sheet() -> World:
    data = 'Name,Holds from,"A day, £"\r\nBreaker,2026-06-01,45\r\n'.encode()
    return World({"kind": "plant"}, {"file": SimpleUploadedFile("plant.csv", data)})


def missing() -> World:
    return World({"pk": 999_999})


SEE = ("owner", "accountant")
TABLES = (
    "quotes.WorkItem", "quotes.WorkItemRate", "quotes.WorkItemStock", "quotes.FirmRates",
)  # fmt: skip
GONE = dict.fromkeys(("owner", "office", "storeman", "accountant", "crew", "stranger"), 404)
BOOK = ("quotes.Plant", "quotes.PlantRate")
ROWS = [
    Row("pricebook:book", "GET", only(*SEE)),
    Row("pricebook:entries", "GET", only(*SEE), plants),
    Row("pricebook:entries", "GET", GONE, unknown_kind, "other"),
    Row("pricebook:add_entry", "GET", only(*SEE), plants),
    Row("pricebook:add_entry", "POST", only(*SEE, status=302), plants, models=BOOK),
    Row("pricebook:add_entry", "POST", GONE, unknown_kind, "other", BOOK),
    Row("pricebook:entry", "GET", only(*SEE), plant),
    Row("pricebook:entry", "GET", GONE, missing_plant, "other"),
    Row("pricebook:entry_rate", "GET", only(*SEE), plant),
    Row("pricebook:entry_rate", "POST", only(*SEE, status=302), plant, models=BOOK),
    Row("pricebook:archive_entry", "POST", only(*SEE, status=302), plant, models=BOOK),
    Row("pricebook:archive_entry", "POST", GONE, missing_plant, "other", BOOK),
    Row("pricebook:import", "GET", only(*SEE)),
    # The file is only looked at: what it would change is shown, and nothing is written.
    Row("pricebook:import", "POST", only(*SEE), sheet, models=TABLES),
    Row("pricebook:export", "GET", only(*SEE)),
    Row("pricebook:import_kind", "GET", only(*SEE), plants),
    Row("pricebook:import_kind", "POST", only(*SEE), plant_sheet, models=BOOK),
    Row("pricebook:import_kind", "GET", GONE, unknown_kind, "other"),
    Row("pricebook:export_kind", "GET", only(*SEE), plants),
    Row("pricebook:export_kind", "GET", GONE, unknown_kind, "other"),
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
