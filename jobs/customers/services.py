"""Writing customers and their contacts."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction

from jobs.audit.services import changes, post_event
from jobs.customers.models import Contact, Customer
from jobs.customers.querysets import OPEN_STAGES
from jobs.customers.rules import (
    CONTACT_FIELDS,
    EDITABLE,
    tidy_line,
    tidy_lines,
    tidy_postcode,
    tidy_vat_number,
    without_personal,
)
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import assert_in_transaction, claim_key, finish_key
from jobs.kernel.registries import PERSONAL_DATA
from jobs.kernel.versions import lock_version
from jobs.outbox.rules import uk_mobile

TIDY = {
    "name": tidy_line, "phone": tidy_line, "role": tidy_line, "email": tidy_line,
    "address": tidy_lines, "notes": tidy_lines, "postcode": tidy_postcode,
    "vat_number": tidy_vat_number,
}  # fmt: skip


def tidied(values: dict[str, Any], allowed: tuple[str, ...]) -> dict[str, Any]:
    """Return the values tidied; TypeError for a name that this service does not write."""
    unknown = set(values) - set(allowed)
    if unknown:
        raise TypeError(f"not written here: {', '.join(sorted(unknown))}")
    found = dict(values)
    for name in found.keys() & TIDY.keys():
        try:
            found[name] = TIDY[name](found[name])
        except ValueError as error:
            raise ServiceError(str(error), field=name, code="malformed") from error
    return found


def check_customer(customer: Customer) -> None:
    """Refuse a row that the database or the trade would refuse, at its field."""
    try:
        customer.full_clean()
    except ValidationError as error:
        name, sentences = next(iter(error.message_dict.items()))
        raise ServiceError(sentences[0], field=name, code="malformed") from error
    if customer.kind == "household" and customer.reports_under_cis:
        raise ServiceError(
            "A household does not report payments under CIS; take the tick away or change the "
            "kind.",
            field="reports_under_cis",
        )
    if customer.texts_agreed and not uk_mobile(customer.phone):
        raise ServiceError(
            "Texts need a UK mobile number, one that begins 07, as the telephone; or take the tick "
            "away.",
            field="texts_agreed",
        )


def post_customer(*, by: Any, at: datetime, **values: Any) -> Customer:
    """Add a customer as part of a larger write; `values` are the row's fields."""
    assert_in_transaction()
    found = tidied(values, EDITABLE)
    customer = Customer(created_at=at, **found)
    check_customer(customer)
    customer.save()
    post_event(verb="add", subject=customer, by=by, at=at, after=without_personal(found))
    return customer


@transaction.atomic(durable=True)
def add_customer(*, by: Any, at: datetime, key: UUID | None = None, **values: Any) -> Customer:
    """Add a customer; the same `key` again returns the one that was added."""
    if key:
        done = claim_key(key=key, kind="add_customer", inputs=values, at=at)
        if done:
            return Customer.objects.get(pk=done.result or 0)
    customer = post_customer(by=by, at=at, **values)
    if key:
        finish_key(key=key, result=customer.pk)
    return customer


@transaction.atomic(durable=True)
def change_customer(
    *, customer_id: int, version: int, by: Any, at: datetime, **values: Any
) -> Customer:
    """Change a customer that is still at `version`, else StaleError."""
    customer = lock_version(Customer, customer_id, version)
    refuse_erased(customer)
    found = tidied(values, EDITABLE)
    before, after = changes(customer, found)
    if not after:
        return customer
    for name, value in after.items():
        setattr(customer, name, value)
    check_customer(customer)
    customer.version += 1
    customer.save(update_fields=[*after, "version"])
    post_event(
        verb="change", subject=customer, by=by, at=at,
        before=without_personal(before), after=without_personal(after),
    )  # fmt: skip
    return customer


def locked(customer_id: int) -> Customer:
    """Lock a customer's row and return it as it is now."""
    found: Customer = Customer.objects.select_for_update(no_key=True).get(pk=customer_id)
    return found


def refuse_erased(customer: Customer) -> None:
    """Refuse to write on a customer whose data was erased."""
    if customer.erased_at:
        raise ServiceError("This customer's data was erased; add the customer anew.", code="erased")


def refuse_open_jobs(customer: Customer, doing: str) -> None:
    """Refuse while work is open for the customer."""
    open_jobs = list(customer.jobs.filter(stage__in=OPEN_STAGES)[:4])
    if open_jobs:
        named = ", ".join(job.reference for job in open_jobs[:3])
        more = " and more" if len(open_jobs) > 3 else ""
        raise ServiceError(
            f"There is open work: {named}{more}. Finish, lose or cancel it before {doing}.",
            code="open_jobs",
        )


@transaction.atomic(durable=True)
def archive_customer(*, customer_id: int, by: Any, at: datetime) -> Customer:
    """Put a customer away; refused while a job is open. Already archived: nothing happens."""
    customer = locked(customer_id)
    refuse_erased(customer)
    if customer.archived_at is None:
        refuse_open_jobs(customer, "the customer is put away")
        customer.archived_at = at
        customer.save(update_fields=["archived_at"])
        post_event(verb="archive", subject=customer, by=by, at=at)
    return customer


@transaction.atomic(durable=True)
def restore_customer(*, customer_id: int, by: Any, at: datetime) -> Customer:
    """Bring an archived customer back."""
    customer = locked(customer_id)
    refuse_erased(customer)
    if customer.archived_at is not None:
        customer.archived_at = None
        customer.save(update_fields=["archived_at"])
        post_event(verb="restore", subject=customer, by=by, at=at)
    return customer


# -- contacts --------------------------------------------------------------------------------


def check_contact(contact: Contact) -> None:
    """Refuse a contact whom nobody could reach, or with a malformed field."""
    try:
        contact.full_clean()
    except ValidationError as error:
        name, sentences = next(iter(error.message_dict.items()))
        raise ServiceError(sentences[0], field=name, code="malformed") from error
    if not contact.phone and not contact.email:
        raise ServiceError("Give a telephone number or an e-mail address.", field="phone")


@transaction.atomic(durable=True)
def add_contact(
    *, customer_id: int, by: Any, at: datetime, key: UUID | None = None, **values: Any
) -> Contact:
    """Add somebody to ring at a customer's."""
    customer = locked(customer_id)
    refuse_erased(customer)
    inputs = {"customer": customer_id, **values}
    if key and (done := claim_key(key=key, kind="add_contact", inputs=inputs, at=at)):
        return Contact.objects.get(pk=done.result or 0)
    found = tidied(values, CONTACT_FIELDS)
    contact = Contact(customer=customer, **found)
    check_contact(contact)
    contact.save()
    post_event(verb="add", subject=contact, by=by, at=at, after=without_personal(found))
    if key:
        finish_key(key=key, result=contact.pk)
    return contact


@transaction.atomic(durable=True)
def change_contact(*, contact_id: int, by: Any, at: datetime, **values: Any) -> Contact:
    """Change a contact."""
    contact = Contact.objects.select_for_update(no_key=True).get(pk=contact_id)
    found = tidied(values, CONTACT_FIELDS)
    before, after = changes(contact, found)
    if after:
        for name, value in after.items():
            setattr(contact, name, value)
        check_contact(contact)
        contact.save(update_fields=list(after))
        post_event(
            verb="change", subject=contact, by=by, at=at,
            before=without_personal(before), after=without_personal(after),
        )  # fmt: skip
    return contact


@transaction.atomic(durable=True)
def archive_contact(*, contact_id: int, by: Any, at: datetime) -> Contact:
    """Take a contact off the customer's page."""
    contact = Contact.objects.select_for_update(no_key=True).get(pk=contact_id)
    if contact.archived_at is None:
        contact.archived_at = at
        contact.save(update_fields=["archived_at"])
        post_event(verb="archive", subject=contact, by=by, at=at)
    return contact


# -- personal data ---------------------------------------------------------------------------


@transaction.atomic(durable=True)
def give_out_data(*, customer_id: int, by: Any, at: datetime) -> dict[str, Any]:
    """Return what every room knows of a customer, and record that it was given out."""
    customer = Customer.objects.get(pk=customer_id)
    refuse_erased(customer)
    rooms = {room: PERSONAL_DATA[room].collect(customer_id) for room in sorted(PERSONAL_DATA)}
    post_event(verb="give_out_data", subject=customer, by=by, at=at)
    return {"customer": customer.pk, "given_out_at": at.isoformat(), "rooms": rooms}


@transaction.atomic(durable=True)
def erase_customer(*, customer_id: int, by: Any, at: datetime, reason: str) -> list[str]:
    """Erase a customer's personal data in every room; returns what was kept, in sentences.

    Refused while a job is open. The customer's row stays, without a name, for what hangs on it.
    """
    customer = locked(customer_id)
    refuse_erased(customer)
    refuse_open_jobs(customer, "the data are erased")
    kept = [s for room in sorted(PERSONAL_DATA) for s in PERSONAL_DATA[room].erase(customer_id)]
    customer.refresh_from_db()
    customer.erased_at = at
    customer.archived_at = customer.archived_at or at
    customer.version += 1
    customer.save(update_fields=["erased_at", "archived_at", "version"])
    post_event(
        verb="erase", subject=customer, by=by, at=at, reason=reason, after={"kept": " ".join(kept)}
    )
    return kept


def post_erasure(customer_id: int) -> list[str]:
    """Blank what this room's rows say of a person; part of `erase_customer`."""
    assert_in_transaction()
    Customer.objects.filter(pk=customer_id).update(
        name=f"erased customer {customer_id}", email="", phone="", address="", postcode="",
        vat_number="", notes="", texts_agreed=False,
    )  # fmt: skip
    Contact.objects.filter(customer_id=customer_id).update(
        name="erased", role="", email="", phone=""
    )
    return ["The kind of customer and the days to pay are kept; they name nobody."]
