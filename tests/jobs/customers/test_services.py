"""Writing customers: what is kept, what is refused, and what erasing leaves."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import uuid4

import pytest

from jobs.audit.models import Event
from jobs.customers import services
from jobs.customers.models import Contact, Customer
from jobs.customers.views.customers import messages_wanted
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import KeyUsedError
from jobs.kernel.versions import StaleError
from tests.factories import make_area, make_customer, make_job, make_site, make_survey

pytestmark = pytest.mark.django_db


def test_a_customer_is_added_tidied_with_an_event_that_keeps_no_name(
    office: Any, at: datetime
) -> None:
    customer = services.add_customer(
        name="  Alex   Marsh ", kind="household", phone="01632  960123", postcode="hr49ab",
        by=office, at=at,
    )  # fmt: skip

    assert (customer.name, customer.phone, customer.postcode) == (
        "Alex Marsh", "01632 960123", "HR4 9AB",
    )  # fmt: skip
    event = Event.objects.get()
    assert (event.verb, event.by, event.subject_text) == ("add", office, f"customer {customer.pk}")
    assert event.after == {
        "name": "(personal)", "kind": "household", "phone": "(personal)", "postcode": "(personal)",
    }  # fmt: skip


def test_a_yes_to_texts_wants_a_mobile_number(at: datetime) -> None:
    with pytest.raises(ServiceError, match="begins 07") as refusal:
        services.add_customer(name="Anna", phone="01632 960123", texts_agreed=True, by=None, at=at)
    assert refusal.value.field == "texts_agreed"
    found = services.add_customer(
        name="Anna", phone="07700 900123", texts_agreed=True, only_needed=True, by=None, at=at
    )
    assert (found.texts_agreed, found.only_needed) == (True, True)
    kept = messages_wanted(found)
    assert kept == "text messages too, only what the work needs"


def test_the_same_key_adds_one_customer_and_other_inputs_are_refused(
    office: Any, at: datetime
) -> None:
    key = uuid4()
    first = services.add_customer(name="Alex", key=key, by=office, at=at)
    again = services.add_customer(name="Alex", key=key, by=office, at=at)
    assert first == again
    assert Customer.objects.count() == 1
    with pytest.raises(KeyUsedError):
        services.add_customer(name="Sam", key=key, by=office, at=at)


@pytest.mark.parametrize(
    ("values", "field", "sentence"),
    [
        ({"name": " "}, "name", "This field cannot be blank."),
        ({"name": "A", "email": "no-at"}, "email", "Enter a valid email address."),
        (
            {"name": "A", "vat_number": "12"},
            "vat_number",
            "'12' is not a VAT number; write GB and nine digits.",
        ),
        (
            {"name": "A", "kind": "household", "reports_under_cis": True},
            "reports_under_cis",
            (
                "A household does not report payments under CIS; take the tick away or change "
                "the kind."
            ),
        ),
    ],
)
def test_a_malformed_customer_is_refused_at_its_field(
    values: dict[str, Any], field: str, sentence: str, office: Any, at: datetime
) -> None:
    with pytest.raises(ServiceError) as refusal:
        services.add_customer(by=office, at=at, **values)
    assert (refusal.value.field, refusal.value.message) == (field, sentence)
    assert not Customer.objects.exists()


def test_a_change_counts_the_version_and_names_only_what_changed(office: Any, at: datetime) -> None:
    customer = make_customer(terms_days=14)
    changed = services.change_customer(
        customer_id=customer.pk, version=1, name=customer.name, terms_days=30, by=office, at=at
    )
    assert (changed.version, changed.terms_days) == (2, 30)
    event = Event.objects.get()
    assert (event.before, event.after) == ({"terms_days": 14}, {"terms_days": 30})


def test_saving_what_is_there_already_writes_nothing(office: Any, at: datetime) -> None:
    customer = make_customer()
    services.change_customer(
        customer_id=customer.pk, version=1, name=customer.name, by=office, at=at
    )
    customer.refresh_from_db()
    assert customer.version == 1
    assert not Event.objects.exists()


def test_a_second_save_of_one_page_is_refused(office: Any, owner: Any, at: datetime) -> None:
    customer = make_customer(phone="01632 960100")
    services.change_customer(
        customer_id=customer.pk, version=1, phone="01632 960101", by=office, at=at
    )
    with pytest.raises(StaleError):
        services.change_customer(
            customer_id=customer.pk, version=1, phone="01632 960102", by=owner, at=at
        )
    customer.refresh_from_db()
    assert customer.phone == "01632 960101"


def test_a_customer_with_open_work_is_not_put_away(office: Any, at: datetime) -> None:
    job = make_job()
    with pytest.raises(ServiceError) as refusal:
        services.archive_customer(customer_id=job.customer_id, by=office, at=at)
    assert refusal.value.message == (
        f"There is open work: {job.reference}. Finish, lose or cancel it before the customer is "
        "put away."
    )


def test_putting_away_and_bringing_back(office: Any, at: datetime) -> None:
    customer = make_job(stage="complete").customer
    services.archive_customer(customer_id=customer.pk, by=office, at=at)
    services.archive_customer(customer_id=customer.pk, by=office, at=at)
    customer.refresh_from_db()
    assert customer.archived_at == at
    assert not Customer.objects.current().exists()
    services.restore_customer(customer_id=customer.pk, by=office, at=at)
    assert [event.verb for event in Event.objects.all()] == ["restore", "archive"]
    assert Customer.objects.current().get() == customer


def test_a_contact_needs_a_way_to_be_reached(office: Any, at: datetime) -> None:
    customer = make_customer()
    with pytest.raises(ServiceError) as refusal:
        services.add_contact(customer_id=customer.pk, name="Sam", by=office, at=at)
    assert refusal.value.field == "phone"
    contact = services.add_contact(
        customer_id=customer.pk, name="Sam", phone="01632 960140", by=office, at=at
    )
    services.change_contact(contact_id=contact.pk, role="site agent", by=office, at=at)
    services.archive_contact(contact_id=contact.pk, by=office, at=at)
    contact.refresh_from_db()
    assert (contact.role, contact.archived_at) == ("site agent", at)


def test_data_given_out_hold_every_room_of_ours(owner: Any, at: datetime) -> None:
    job = make_job(make_site(make_customer(name="Alex Marsh")), enquiry="A drive, please.")
    make_survey(job, notes="dog")
    data = services.give_out_data(customer_id=job.customer_id, by=owner, at=at)
    rooms = data["rooms"]
    assert {"customers", "sites", "work", "surveys"} <= set(rooms)
    assert rooms["customers"]["customer"]["name"] == "Alex Marsh"
    assert rooms["sites"]["sites"][0]["address"] == job.site.address
    assert rooms["work"]["jobs"][0]["enquiry"] == "A drive, please."
    assert rooms["surveys"]["surveys"][0]["notes"] == "dog"
    assert Event.objects.get().verb == "give_out_data"


def test_erasing_blanks_every_room_and_says_what_is_kept(owner: Any, at: datetime) -> None:
    customer = make_customer(name="Alex Marsh", phone="01632 960123", address="1 High Street")
    Contact.objects.create(customer=customer, name="Sam", phone="01632 960140")
    laid = make_job(make_site(customer, address="4 Mill Lane"), stage="in_guarantee", enquiry="Hm")
    lost = make_job(
        make_site(customer, address="9 Hill Rise"), stage="lost", lost_reason="price", enquiry="Hm"
    )
    survey = make_survey(laid, notes="the side door key is under the pot")
    make_area(survey)

    kept = services.erase_customer(customer_id=customer.pk, by=owner, at=at, reason="by letter")

    customer.refresh_from_db()
    assert customer.name == f"erased customer {customer.pk}"
    assert (customer.phone, customer.address, customer.erased_at) == ("", "", at)
    contact = customer.contacts.get()
    assert (contact.name, contact.phone) == ("erased", "")
    laid.refresh_from_db()
    lost.refresh_from_db()
    assert (laid.enquiry, laid.title, lost.enquiry) == ("", "title erased", "")
    assert laid.site.__class__.objects.get(pk=laid.site_id).address == "4 Mill Lane"
    assert laid.site.__class__.objects.get(pk=lost.site_id).address == "erased"
    survey.refresh_from_db()
    assert survey.notes == ""
    assert "Kept: the address of one site where a surface lies" in " ".join(kept)
    words = " ".join(str(e.before) + str(e.after) + e.subject_text for e in Event.objects.all())
    assert "Alex" not in words
    with pytest.raises(ServiceError):
        services.erase_customer(customer_id=customer.pk, by=owner, at=at, reason="again")


def test_erasing_is_refused_while_work_is_open(owner: Any, at: datetime) -> None:
    job = make_job(stage="booked")
    with pytest.raises(ServiceError) as refusal:
        services.erase_customer(customer_id=job.customer_id, by=owner, at=at, reason="by letter")
    assert refusal.value.code == "open_jobs"
    job.customer.refresh_from_db()
    assert job.customer.erased_at is None
