"""One dull factory a model: the smallest valid row, derived values, no hidden extras."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from decimal import Decimal
from itertools import count
from typing import Any
from uuid import uuid4

from django.contrib.auth.models import Group

from jobs.accounts.models import User
from jobs.accounts.rules import ROLE_NAMES
from jobs.calendar.models import Booking, Resource, Slot
from jobs.customers.models import Customer
from jobs.kernel.clock import LONDON
from jobs.people.models import Crew, PayRate, Person
from jobs.sites.models import Site
from jobs.surveys.models import Area, ColourGroup, Pour, Shape, Survey
from jobs.work.models import Job
from stock.allocation.models import Requirement
from stock.catalogue.models import Blend, BlendComponent, Item, Place
from stock.suppliers.models import Channel, ChannelCharge, Cutoff, Supplier, SupplierPrice

AT = datetime(2026, 5, 14, 9, 0, tzinfo=LONDON)
DAY = date(2026, 5, 14)
numbers = count(1)


def make_user(*roles: str, **fields: Any) -> User:
    n = next(numbers)
    name = ROLE_NAMES.get(roles[0], "Stranger") if roles else "Stranger"
    user: User = User.objects.create_user(
        email=fields.pop("email", f"{name.split()[0].lower()}{n}@firm.example"),
        password=fields.pop("password", "a-long-password"),
        name=fields.pop("name", f"{name} {n}"),
        **fields,
    )
    user.groups.set(Group.objects.filter(name__in=roles))
    return user


def make_customer(**fields: Any) -> Customer:
    n = next(numbers)
    values = {"name": f"Customer {n}", "email": f"customer{n}@home.example", "created_at": AT}
    return Customer.objects.create(**values | fields)


def make_site(customer: Customer | None = None, **fields: Any) -> Site:
    n = next(numbers)
    values = {"name": f"{n} Mill Lane", "address": f"{n} Mill Lane, Orrford", "created_at": AT}
    return Site.objects.create(customer=customer or make_customer(), **values | fields)


def make_job(site: Site | None = None, **fields: Any) -> Job:
    n = next(numbers)
    site = site or make_site()
    values: dict[str, Any] = {
        "reference": f"J-2026-{n:04d}",
        "title": f"Drive {n}",
        "opened_at": AT,
        "stage_since": AT,
    }
    return Job.objects.create(site=site, customer=site.customer, **values | fields)


def make_survey(job: Job | None = None, **fields: Any) -> Survey:
    """A survey without areas."""
    values: dict[str, Any] = {"visited_at": AT, "base_kind": "tarmac"}
    return Survey.objects.create(job=job or make_job(), **values | fields)


def make_area(survey: Survey | None = None, **fields: Any) -> Area:
    """An area of 6.2 m by 3.4 m in a pour and colour group of its own, unless given."""
    survey = survey or make_survey()
    n = next(numbers)
    pour = fields.pop("pour", None)
    if pour is None:
        group, _ = ColourGroup.objects.get_or_create(survey=survey, name="buff")
        pour, _ = Pour.objects.get_or_create(
            survey=survey, name="pour 1", defaults={"colour_group": group}
        )
    shapes = fields.pop(
        "shapes", [{"kind": "rectangle", "measurements": {"length": "6.2 m", "width": "3.4 m"}}]
    )
    values: dict[str, Any] = {"name": f"area {n}", "use": "vehicles", "depth_mm": Decimal(20)}
    area = Area.objects.create(survey=survey, pour=pour, **values | fields)
    for position, shape in enumerate(shapes):
        Shape.objects.create(area=area, position=position, **shape)
    return area


def make_kit(**fields: Any) -> Item:
    n = next(numbers)
    values: dict[str, Any] = {
        "code": f"KIT-{n}",
        "name": f"Resin kit {n}, 7.0 kg",
        "kind": "kit",
        "base_unit": "piece",
        "pack_name": "kit",
        "pack_quantity": 1,
        "pack_mass_g": 7000,
        "part_a_g": 4800,
        "part_b_g": 2200,
        "working_min_20c": 26,
        "cure_min_20c": 600,
        "shelf_life_months": 6,
    }
    return Item.objects.create(**values | fields)


def make_stone(**fields: Any) -> Item:
    n = next(numbers)
    values: dict[str, Any] = {
        "code": f"STN-{n}",
        "name": f"Stone {n}, 2–6 mm",
        "kind": "stone",
        "base_unit": "g",
        "pack_name": "bag",
        "pack_quantity": 20_000,
        "pack_mass_g": 20_000,
        "run_matched": True,
        "size_low_mm": Decimal(2),
        "size_high_mm": Decimal("6.3"),
    }
    return Item.objects.create(**values | fields)


def make_sand(**fields: Any) -> Item:
    n = next(numbers)
    values: dict[str, Any] = {
        "code": f"SND-{n}",
        "name": f"Fine sand {n}",
        "kind": "filler",
        "base_unit": "g",
        "pack_name": "bag",
        "pack_quantity": 5_000,
        "pack_mass_g": 5_000,
    }
    return Item.objects.create(**values | fields)


def make_edging(**fields: Any) -> Item:
    n = next(numbers)
    values: dict[str, Any] = {
        "code": f"EDG-{n}",
        "name": f"Edging {n}, 18 mm",
        "kind": "edging",
        "base_unit": "mm",
        "pack_name": "length",
        "pack_quantity": 2_500,
        "pack_mass_g": 1_800,
    }
    return Item.objects.create(**values | fields)


def make_blend(**fields: Any) -> Blend:
    """One kit with four bags of stone and one of sand; 3.15 m² at 20 mm."""
    n = next(numbers)
    components = fields.pop("components", None)
    values: dict[str, Any] = {
        "name": f"Blend {n}",
        "yield_area_m2": Decimal("3.15"),
        "yield_depth_mm": Decimal(20),
    }
    kit = fields.pop("kit", None) or make_kit()
    blend = Blend.objects.create(kit=kit, **values | fields)
    for item, bags in components or [(make_stone(), 4), (make_stone(), 1), (make_sand(), 1)]:
        BlendComponent.objects.create(blend=blend, item=item, bags=Decimal(bags))
    return blend


def make_place(kind: str = "bay", **fields: Any) -> Place:
    n = next(numbers)
    return Place.objects.create(kind=kind, **{"name": f"{kind} {n}"} | fields)


def make_lot(item: Item, packs: int = 10, **fields: Any) -> Any:
    """A lot that came in through the ledger, so that every balance is true."""
    from django.db import transaction

    from stock.ledger.services import post_lot

    n = next(numbers)
    values: dict[str, Any] = {
        "quantity": packs * item.pack_quantity,
        "cost": Decimal("10.00") * packs,
        "run": f"26-{n:04d}" if item.kind == "stone" else "",
        "received_on": DAY - timedelta(days=7),
        "place": fields.pop("place", None) or make_place(),
        "key": uuid4(),
        "by": None,
        "at": AT - timedelta(days=7),
    }
    if item.kind == "kit":
        expiry = fields.pop("expiry", DAY + timedelta(days=90))
        values |= {
            "batch_a": f"A{n}", "expiry_a": expiry, "batch_b": f"B{n}", "expiry_b": expiry,
        }  # fmt: skip
    with transaction.atomic():
        return post_lot(item=item, **values | fields)


def make_requirement(job: Job, item: Item, packs: int, **fields: Any) -> Requirement:
    values: dict[str, Any] = {"phase": "lay", "colour_group": "buff", "created_at": AT}
    return Requirement.objects.create(
        job=job, item=item, quantity=packs * item.pack_quantity, **values | fields
    )


def make_supplier(**fields: Any) -> Supplier:
    """A supplier with two channels: online until 11:45 and telephone until 15:30 on weekdays."""
    from datetime import time

    n = next(numbers)
    supplier = Supplier.objects.create(
        **{"name": f"Supplier {n}", "email": f"orders{n}@supplier.example"} | fields
    )
    for kind, wall in (("online", time(11, 45)), ("telephone", time(15, 30))):
        channel = Channel.objects.create(supplier=supplier, kind=kind, lead_days=2)
        make_charge(channel, "45.00")
        for weekday in range(5):
            Cutoff.objects.create(channel=channel, weekday=weekday, wall_time=wall)
    return supplier


def make_charge(channel: Channel, carriage: str = "0", **fields: Any) -> ChannelCharge:
    """What a channel charges, from 1 January 2026 unless told otherwise."""
    values = {"valid_from": date(2026, 1, 1), "carriage": Decimal(carriage)}
    return ChannelCharge.objects.create(channel=channel, **values | fields)


def make_price(supplier: Supplier, item: Item, price: str = "10", **fields: Any) -> SupplierPrice:
    values = {"valid_from": date(2026, 1, 1), "pack_price": Decimal(price)}
    return SupplierPrice.objects.create(supplier=supplier, item=item, **values | fields)


def make_crew(**fields: Any) -> Crew:
    n = next(numbers)
    crew = Crew.objects.create(**{"name": f"Crew {n}"} | fields)
    Resource.objects.create(kind="crew", name=crew.name, crew=crew)
    return crew


def make_person(**fields: Any) -> Person:
    n = next(numbers)
    hourly = fields.pop("hourly", "22.5")
    person = Person.objects.create(**{"name": f"Person {n}"} | fields)
    Resource.objects.create(kind="person", name=person.name, person=person)
    PayRate.objects.create(person=person, valid_from=date(2026, 1, 1), hourly=Decimal(hourly))
    return person


def make_booking(job: Job, phase: str = "lay", day: date = DAY, **fields: Any) -> Booking:
    """A booking of one whole day for a crew, made without its service."""
    crew = fields.pop("crew", None) or make_crew()
    booking = Booking.objects.create(
        job=job, phase=phase, created_at=AT, first_day=day, last_day=day, **fields
    )
    for half in ("am", "pm"):
        Slot.objects.create(resource=crew.resource, day=day, half=half, booking=booking)
    return booking
