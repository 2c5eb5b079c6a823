"""Who may see, change, put away and erase customers."""

from __future__ import annotations

from uuid import uuid4

from jobs.customers.models import Contact
from tests.factories import AT, make_customer
from tests.role_rows import Row, World, everybody, only

OFFICE = only("owner", "office")
DONE = only("owner", "office", status=302)
GONE = dict.fromkeys(("owner", "office", "storeman", "accountant", "crew", "stranger"), 404)
TABLES = ("jobs.Customer", "jobs.Contact", "jobs.Event")
FORM = {"name": "New name", "kind": "household", "terms_days": "14"}


def new() -> World:
    return World({}, FORM | {"uid": str(uuid4())})


def customer() -> World:
    return World({"pk": make_customer().pk}, FORM | {"version": "1"})


def archived() -> World:
    return World({"pk": make_customer(archived_at=AT).pk}, FORM | {"version": "1"})


def erased() -> World:
    return World({"pk": make_customer(erased_at=AT, archived_at=AT).pk}, FORM | {"version": "1"})


def to_erase() -> World:
    return World({"pk": make_customer().pk}, {"reason": "asked by letter"})


def new_contact() -> World:
    data = {"name": "Sam", "phone": "01632 960111", "uid": str(uuid4())}
    return World({"pk": make_customer().pk}, data)


def contact() -> World:
    row = Contact.objects.create(customer=make_customer(), name="Sam", phone="01632 960111")
    return World({"pk": row.pk}, {"name": "Samuel", "phone": "01632 960112"})


def missing() -> World:
    return World({"pk": 999_999}, FORM | {"version": "1", "reason": "none"})


ROWS = [
    Row("customers:list", "GET", everybody()),
    Row("customers:create", "GET", OFFICE),
    Row("customers:create", "POST", DONE, new, models=TABLES),
    Row("customers:detail", "GET", everybody(), customer),
    Row("customers:detail", "GET", GONE, erased, "other"),
    Row("customers:edit", "GET", OFFICE, customer),
    Row("customers:edit", "POST", DONE, customer, models=TABLES),
    Row("customers:edit", "POST", GONE, archived, "other", TABLES),
    Row("customers:archive", "GET", OFFICE, customer),
    Row("customers:archive", "POST", DONE, customer, models=TABLES),
    Row("customers:archive", "POST", GONE, missing, "other", TABLES),
    Row("customers:restore", "POST", DONE, archived, models=TABLES),
    Row("customers:restore", "POST", GONE, erased, "other", TABLES),
    Row("customers:data", "POST", only("owner"), customer, models=TABLES),
    Row("customers:data", "POST", GONE, erased, "other", TABLES),
    Row("customers:erase", "GET", only("owner"), customer),
    Row("customers:erase", "POST", only("owner", status=302), to_erase, models=TABLES),
    Row("customers:erase", "POST", GONE, erased, "other", TABLES),
    Row("customers:contact_create", "GET", OFFICE, customer),
    Row("customers:contact_create", "POST", DONE, new_contact, models=TABLES),
    Row("customers:contact_create", "POST", GONE, archived, "other", TABLES),
    Row("customers:contact_edit", "GET", OFFICE, contact),
    Row("customers:contact_edit", "POST", DONE, contact, models=TABLES),
    Row("customers:contact_edit", "POST", GONE, missing, "other", TABLES),
    Row("customers:contact_archive", "GET", OFFICE, contact),
    Row("customers:contact_archive", "POST", DONE, contact, models=TABLES),
    Row("customers:contact_archive", "POST", GONE, missing, "other", TABLES),
]
