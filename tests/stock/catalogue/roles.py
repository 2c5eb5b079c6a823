"""Who may see and change items, blend cards and places."""

from __future__ import annotations

from django.core.files.uploadedfile import SimpleUploadedFile

from stock.catalogue.models import Item, Substitute
from tests.factories import make_blend, make_kit, make_place, make_sand, make_stone, numbers
from tests.role_rows import Row, World, everybody, only


def item_data(**fields: object) -> dict[str, object]:
    n = next(numbers)
    return {
        "code": f"NEW-{n}", "name": f"New sand {n}", "kind": "filler", "base_unit": "g",
        "pack_name": "bag", "pack_quantity": 5000, "pack_mass_g": 5000, "season": "all",
        "expiry_margin_days": 0, "conditioning_hours": 0, "store_hours_allowed": 0, "least": 0,
        "most": 0, **fields,
    }  # fmt: skip


def new_item() -> World:
    return World({}, item_data())


def item() -> World:
    return World({"pk": make_sand().pk}, item_data(version=1))


def blend_data(**fields: object) -> dict[str, object]:
    return {
        "name": f"Buff {next(numbers)}", "kit": make_kit().pk, "yield_area_m2": "3.15",
        "yield_depth_mm": "20", "mix_seconds": 120, "item_1": make_stone().pk, "bags_1": "5",
        **fields,
    }  # fmt: skip


def new_blend() -> World:
    return World({}, blend_data())


def blend() -> World:
    return World({"pk": make_blend().pk}, blend_data(version=1))


def new_place() -> World:
    return World({}, {"kind": "bay", "name": f"rack {next(numbers)}", "near": 5})


def place() -> World:
    return World({"pk": make_place().pk}, {"name": f"rack {next(numbers)}", "near": 5})


def sheet() -> World:
    text = "Code,Name,Kind,Counted in,A pack is called,A pack holds\r\nS,Sand,filler,g,bag,5000"
    return World({}, {"file": SimpleUploadedFile("items.csv", text.encode())})


def blend_sheet() -> World:
    kit, stone = make_kit(), make_stone()
    text = f'Blend,Kit,Goes in,"Covers, m²","at, mm"\r\nBuff,{kit.code},4 x {stone.code},3.15,20'
    return World({}, {"file": SimpleUploadedFile("blends.csv", text.encode())})


def stood_in() -> World:
    gold, pale, other = make_stone(), make_stone(), make_stone()
    for position, stand_in in enumerate((pale, other)):
        Substitute.objects.create(item=gold, stand_in=stand_in, position=position)
    return World({"pk": gold.pk, "stand_in": other.pk})


def to_stand_in() -> World:
    return World({"pk": make_stone().pk}, {"stand_in": make_stone().pk})


def no_stand_in() -> World:
    return World({"pk": make_stone().pk, "stand_in": make_stone().pk})


def missing() -> World:
    assert not Item.objects.filter(pk=999_999).exists()
    return World({"pk": 999_999})


STOREMAN = ("owner", "storeman")
BOOK = ("stock.Item", "stock.Blend", "stock.BlendComponent", "stock.Place", "stock.Substitute")
GONE = dict.fromkeys(("owner", "office", "storeman", "accountant", "crew", "stranger"), 404)
ROWS = [
    Row("catalogue:list", "GET", everybody()),
    Row("catalogue:blends", "GET", everybody()),
    Row("catalogue:places", "GET", everybody()),
    Row("catalogue:export", "GET", everybody()),
    Row("catalogue:blend_export", "GET", everybody()),
    Row("catalogue:import", "GET", only(*STOREMAN)),
    Row("catalogue:import", "POST", only(*STOREMAN), sheet, models=BOOK),
    Row("catalogue:blend_import", "GET", only(*STOREMAN)),
    Row("catalogue:blend_import", "POST", only(*STOREMAN), blend_sheet, models=BOOK),
    Row("catalogue:detail", "GET", everybody(), item),
    Row("catalogue:detail", "GET", GONE, missing, "other"),
    Row("catalogue:blend", "GET", everybody(), blend),
    Row("catalogue:blend", "GET", GONE, missing, "other"),
    Row("catalogue:substitute", "GET", only(*STOREMAN), to_stand_in),
    Row("catalogue:substitute", "POST", only(*STOREMAN, status=302), to_stand_in, models=BOOK),
    *[
        row
        for name in ("substitute_first", "substitute_remove")
        for row in (
            Row(f"catalogue:{name}", "POST", only(*STOREMAN, status=302), stood_in, models=BOOK),
            Row(f"catalogue:{name}", "POST", GONE, no_stand_in, "other", BOOK),
        )
    ],
    *[
        row
        for name, make in (
            ("create", new_item), ("edit", item), ("archive", item), ("blend_create", new_blend),
            ("blend_edit", blend), ("place_create", new_place), ("place_edit", place),
        )
        for row in (
            Row(f"catalogue:{name}", "GET", only(*STOREMAN), make),
            Row(f"catalogue:{name}", "POST", only(*STOREMAN, status=302), make, models=BOOK),
        )
    ],
    *[
        Row(f"catalogue:{name}", "POST", GONE, missing, "other", BOOK)
        for name in ("edit", "archive", "substitute", "blend_edit", "place_edit")
    ],
]  # fmt: skip
