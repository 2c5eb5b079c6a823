"""The demo's yard: items, blends, places, suppliers with cut-offs and prices, lots of its own."""

from __future__ import annotations

from datetime import date, time, timedelta
from decimal import Decimal
from typing import Any

from django.db import transaction

from config.demo.world import World, at, key
from stock.catalogue.models import Blend, BlendComponent, Item, Place
from stock.ledger.services import hold_lot, post_lot
from stock.suppliers.models import Channel, ChannelCharge, Cutoff, Supplier, SupplierPrice

D = Decimal
KIT: dict[str, Any] = {
    "kind": "kit", "base_unit": "piece", "pack_name": "kit", "pack_quantity": 1,
    "packs_per_pallet": 60, "shelf_life_months": 6, "expiry_margin_days": 7,
    "conditioning_hours": 24, "store_low_c": D("8"), "store_high_c": D("30"),
    "store_hours_allowed": 4, "storage_note": "Dry, closed, between 8 and 30 °C.",
    "hazard_note": "Part B holds isocyanates: gloves, goggles, air; see the safety data sheet.",
}  # fmt: skip
STONE: dict[str, Any] = {
    "kind": "stone", "base_unit": "g", "pack_name": "bag", "pack_quantity": 20_000,
    "pack_mass_g": 20_000, "packs_per_pallet": 50, "run_matched": True,
    "storage_note": "Dry, wrapped, off the ground; a damp bag is held.",
    "hazard_note": "Dust holds silica: damp down, wear a mask; see the safety data sheet.",
}  # fmt: skip
ITEMS: tuple[tuple[str, str, dict[str, Any]], ...] = (
    ("KIT-UV", "Resin kit UV-stable, 7.0 kg", KIT | {
        "pack_mass_g": 7000, "part_a_g": 4800, "part_b_g": 2200, "uv_stable": True,
        "working_min_20c": 26, "rain_safe_min_20c": 240, "cure_min_20c": 600,
        "foot_min_20c": 1440, "vehicle_min_20c": 4320, "least": 12, "most": 40,
        "time_table": [[5, 58, 1440], [12, 40, 930], [20, 26, 600], [28, 15, 380]]}),
    ("KIT-ST", "Resin kit standard, 7.0 kg", KIT | {
        "pack_mass_g": 7000, "part_a_g": 4700, "part_b_g": 2300, "uv_stable": False,
        "working_min_20c": 28, "rain_safe_min_20c": 240, "cure_min_20c": 600,
        "foot_min_20c": 1440, "vehicle_min_20c": 4320, "least": 4, "most": 12}),
    ("STN-GOLD", "Moor gold 2–6 mm", STONE | {"size_low_mm": D(2), "size_high_mm": D("6.3")}),
    ("STN-SLATE", "Tarn slate 2–6 mm", STONE | {"size_low_mm": D(2), "size_high_mm": D("6.3")}),
    ("STN-HEATH", "Heath red 2–6 mm", STONE | {"size_low_mm": D(2), "size_high_mm": D("6.3")}),
    ("STN-QUARTZ", "Pale quartz 1–2 mm", STONE | {"size_low_mm": D(1), "size_high_mm": D(2)}),
    ("SND-FINE", "Fine sand 0.2–0.5 mm", {
        "kind": "filler", "base_unit": "g", "pack_name": "bag", "pack_quantity": 5_000,
        "pack_mass_g": 5_000, "packs_per_pallet": 180, "least": 100_000, "most": 400_000,
        "hazard_note": "Fine dust: wear a mask; see the safety data sheet."}),
    ("PRM-BASE", "Base primer", {
        "kind": "primer", "base_unit": "ml", "pack_name": "tin", "pack_quantity": 5_000,
        "pack_mass_g": 5_400, "shelf_life_months": 12, "expiry_margin_days": 3,
        "least": 10_000, "most": 30_000}),
    ("EDG-ALU", "Aluminium edging 20 mm", {
        "kind": "edging", "base_unit": "mm", "pack_name": "length", "pack_quantity": 2_500,
        "pack_mass_g": 1_900, "least": 50_000, "most": 250_000}),
)  # fmt: skip
BLENDS = (
    ("Moor gold", "KIT-UV", "3.15", (("STN-GOLD", "4"), ("STN-QUARTZ", "1"), ("SND-FINE", "1"))),
    ("Tarn slate", "KIT-UV", "3.10", (("STN-SLATE", "4"), ("STN-QUARTZ", "1"), ("SND-FINE", "1"))),
    ("Heath red", "KIT-UV", "3.12", (("STN-HEATH", "4"), ("STN-QUARTZ", "1"), ("SND-FINE", "1"))),
    ("Heath red, standard resin", "KIT-ST", "3.12",
     (("STN-HEATH", "4"), ("STN-QUARTZ", "1"), ("SND-FINE", "1"))),
)  # fmt: skip
PLACES = (
    ("bay", "Bay 1, heated", 10),
    ("bay", "Bay 2", 20),
    ("bay", "Bay 3", 30),
    ("bay", "Container", 60),
    ("van", "Van 1", 70),
    ("van", "Van 2", 71),
)
SUPPLIERS: tuple[tuple[str, str, str, tuple[tuple[str, int, str, time, time], ...]], ...] = (
    ("Kelder Resins", "orders@kelder.example", "01632 960201", (
        ("online", 2, "38.00", time(11, 45), time(10, 30)),
        ("telephone", 2, "38.00", time(15, 30), time(13, 0)),
        ("counter", 0, "0.00", time(16, 30), time(15, 0)))),
    ("Ashgill Aggregates", "sales@ashgill.example", "01632 960202", (
        ("online", 2, "65.00", time(12, 0), time(11, 0)),
        ("telephone", 2, "65.00", time(14, 45), time(13, 0)))),
    ("Lintmoor Metals", "hello@lintmoor.example", "01632 960203", (
        ("online", 3, "22.50", time(13, 0), time(12, 0)),
        ("telephone", 3, "22.50", time(16, 0), time(14, 0)))),
)  # fmt: skip
PRICES = (
    ("Kelder Resins", "KIT-UV", ((1, "46.80"), (30, "43.90"), (60, "41.50"))),
    ("Kelder Resins", "KIT-ST", ((1, "34.20"), (30, "32.40"))),
    ("Kelder Resins", "PRM-BASE", ((1, "31.00"),)),
    ("Ashgill Aggregates", "STN-GOLD", ((1, "7.95"), (50, "7.20"))),
    ("Ashgill Aggregates", "STN-SLATE", ((1, "8.60"), (50, "7.85"))),
    ("Ashgill Aggregates", "STN-HEATH", ((1, "8.10"), (50, "7.35"))),
    ("Ashgill Aggregates", "STN-QUARTZ", ((1, "8.40"), (50, "7.70"))),
    ("Ashgill Aggregates", "SND-FINE", ((1, "2.15"),)),
    ("Lintmoor Metals", "EDG-ALU", ((1, "11.40"), (40, "10.60"))),
)


def load_yard(world: World) -> None:
    """Make items, blends, places and suppliers as they stand all the year."""
    for code, name, values in ITEMS:
        world.items[code] = Item.objects.create(code=code, name=name, **values)
    for name, kit, area, parts in BLENDS:
        blend = Blend.objects.create(
            name=name, kit=world.items[kit], yield_area_m2=D(area), yield_depth_mm=D(20)
        )
        for code, bags in parts:
            BlendComponent.objects.create(blend=blend, item=world.items[code], bags=D(bags))
        world.blends[name] = blend
    for kind, name, near in PLACES:
        world.places[name] = Place.objects.create(kind=kind, name=name, near=near)
    for name, email, phone, channels in SUPPLIERS:
        world.suppliers[name] = _supplier(world, name, email, phone, channels)
    for supplier, code, breaks in PRICES:
        for packs, price in breaks:
            SupplierPrice.objects.create(
                supplier=world.suppliers[supplier], item=world.items[code],
                valid_from=world.days_ago(430), from_packs=packs, pack_price=D(price),
            )  # fmt: skip


def _supplier(
    world: World,
    name: str,
    email: str,
    phone: str,
    channels: tuple[tuple[str, int, str, time, time], ...],
) -> Supplier:
    supplier = Supplier.objects.create(
        name=name, email=email, phone=phone, delivers="1111100", claim_days=2
    )
    for kind, lead, carriage, cutoff, friday in channels:
        channel = Channel.objects.create(supplier=supplier, kind=kind, lead_days=lead)
        # Carriage was less before the year of the book, and goes up next month.
        parts = ((800, "0.9"), (430, "1"), (-30, "1.1")) if D(carriage) else ((800, "1"),)
        for ago, part in parts:
            ChannelCharge.objects.create(
                channel=channel, valid_from=world.on - timedelta(days=ago),
                carriage=(D(carriage) * D(part)).quantize(D("0.1")),
            )  # fmt: skip
        for weekday in range(5):
            wall = friday if weekday == 4 else cutoff
            Cutoff.objects.create(channel=channel, weekday=weekday, wall_time=wall)
    return supplier


def stock_up(world: World) -> None:
    """Take in what the yard keeps beside the jobs: some of it near its date, some of it held."""
    today = world.on
    lots: tuple[tuple[str, int, str, int, int | None, str, str], ...] = (
        # item, packs, cost, received days ago, expires in days, place, run
        ("KIT-UV", 6, "280.80", 160, 16, "Bay 1, heated", ""),
        ("KIT-UV", 9, "421.20", 30, 140, "Bay 1, heated", ""),
        ("KIT-ST", 4, "136.80", 40, 95, "Bay 1, heated", ""),
        ("STN-GOLD", 9, "71.55", 70, None, "Bay 3", "26-0311"),
        ("STN-HEATH", 14, "113.40", 45, None, "Bay 2", "26-0402"),
        ("STN-QUARTZ", 22, "184.80", 45, None, "Bay 2", "26-0118"),
        ("SND-FINE", 60, "129.00", 60, None, "Bay 3", ""),
        ("PRM-BASE", 4, "124.00", 50, 210, "Bay 1, heated", ""),
        ("EDG-ALU", 48, "547.20", 65, None, "Container", ""),
    )
    for place, (code, packs, cost, ago, expires, bay, run) in enumerate(lots):
        a_lot(world, code, packs, D(cost), ago, expires, bay, run, place)
    damp = a_lot(world, "STN-SLATE", 3, D("25.80"), 25, None, "Bay 3", "26-0417", 90)
    storeman = world.users["storeman"]
    hold_lot(
        lot_id=damp.pk, reason="wrap torn, damp to the hand", by=storeman,
        at=at(today - timedelta(days=2), 15),
    )  # fmt: skip


def a_lot(
    world: World, code: str, packs: int, cost: Decimal, ago: int, expires: int | None, bay: str,
    run: str, number: int,
) -> Any:  # fmt: skip
    """Take in packs that came so many days ago, and are good for so many days from today."""
    item = world.items[code]
    received = world.days_ago(ago)
    expiry = world.on + timedelta(days=expires) if expires is not None else None
    with transaction.atomic():
        return post_lot(
            item=item, quantity=packs * item.pack_quantity, cost=cost, run=run,
            place=world.places[bay], received_on=received, key=key("lot", code, number),
            by=world.users["storeman"], at=at(received, 13), **batch_of(item, number, expiry),
        )  # fmt: skip


def batch_of(item: Any, number: int, expiry: date | None) -> dict[str, Any]:
    """Return the label's batches and dates as the item wants them."""
    if item.kind == "kit" and expiry is not None:
        return {
            "batch_a": f"A{2600 + number}", "expiry_a": expiry,
            "batch_b": f"B{2600 + number}", "expiry_b": expiry + timedelta(days=30),
        }  # fmt: skip
    return {"expiry": expiry} if item.shelf_life_months else {}
