"""Writing sites."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction

from jobs.audit.services import changes, post_event
from jobs.customers.models import Customer
from jobs.customers.querysets import OPEN_STAGES
from jobs.customers.rules import tidy_line, tidy_lines, tidy_postcode
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import assert_in_transaction, claim_key, finish_key
from jobs.kernel.versions import lock_version
from jobs.sites.models import Site
from jobs.sites.rules import EDITABLE, PERSONAL, name_of

TIDY = {"name": tidy_line, "address": tidy_lines, "postcode": tidy_postcode, "notes": tidy_lines}
WITHHELD = "(personal)"


def tidied(values: dict[str, Any]) -> dict[str, Any]:
    """Return the values tidied; TypeError for a name that this room does not write."""
    unknown = set(values) - set(EDITABLE)
    if unknown:
        raise TypeError(f"not written here: {', '.join(sorted(unknown))}")
    return {name: TIDY[name](value) if name in TIDY else value for name, value in values.items()}


def without_personal(values: dict[str, object]) -> dict[str, object]:
    """Return values for an event: what tells of a person is named but not kept."""
    return {name: WITHHELD if name in PERSONAL else value for name, value in values.items()}


def check_site(site: Site) -> None:
    """Refuse a row that the database would refuse, at its field."""
    site.name = site.name or name_of(site.address)
    try:
        site.full_clean()
    except ValidationError as error:
        name, sentences = next(iter(error.message_dict.items()))
        raise ServiceError(sentences[0], field=name, code="malformed") from error


def locked_customer(customer_id: int) -> Customer:
    """Lock the customer and refuse one that is put away."""
    customer: Customer = Customer.objects.select_for_update(no_key=True).get(pk=customer_id)
    if customer.archived_at or customer.erased_at:
        raise ServiceError("This customer is put away; bring the customer back first.")
    return customer


def post_site(*, customer: Customer, by: Any, at: datetime, **values: Any) -> Site:
    """Add a site as part of a larger write; `values` are the row's fields."""
    assert_in_transaction()
    found = tidied(values)
    site = Site(customer=customer, created_at=at, **found)
    check_site(site)
    site.save()
    post_event(verb="add", subject=site, by=by, at=at, after=without_personal(found))
    return site


@transaction.atomic(durable=True)
def add_site(
    *, customer_id: int, by: Any, at: datetime, key: UUID | None = None, **values: Any
) -> Site:
    """Add a site of a customer's; the same `key` again returns the one that was added."""
    customer = locked_customer(customer_id)
    inputs = {"customer": customer_id, **values}
    if key and (done := claim_key(key=key, kind="add_site", inputs=inputs, at=at)):
        found: Site = Site.objects.get(pk=done.result or 0)
        return found
    site = post_site(customer=customer, by=by, at=at, **values)
    if key:
        finish_key(key=key, result=site.pk)
    return site


@transaction.atomic(durable=True)
def change_site(*, site_id: int, version: int, by: Any, at: datetime, **values: Any) -> Site:
    """Change a site that is still at `version`, else StaleError."""
    site = lock_version(Site, site_id, version)
    before, after = changes(site, tidied(values))
    if not after:
        return site
    for name, value in after.items():
        setattr(site, name, value)
    check_site(site)
    site.version += 1
    site.save(update_fields=[*after, "name", "version"])
    post_event(
        verb="change", subject=site, by=by, at=at,
        before=without_personal(before), after=without_personal(after),
    )  # fmt: skip
    return site


@transaction.atomic(durable=True)
def archive_site(*, site_id: int, by: Any, at: datetime) -> Site:
    """Put a site away; refused while a job is open there. Already put away: nothing happens."""
    site: Site = Site.objects.select_for_update(no_key=True).get(pk=site_id)
    if site.archived_at is None:
        open_job = site.jobs.filter(stage__in=OPEN_STAGES).first()
        if open_job:
            raise ServiceError(
                f"Work is open here: {open_job.reference}. Finish, lose or cancel it first.",
                code="open_jobs",
            )
        site.archived_at = at
        site.save(update_fields=["archived_at"])
        post_event(verb="archive", subject=site, by=by, at=at)
    return site


@transaction.atomic(durable=True)
def restore_site(*, site_id: int, by: Any, at: datetime) -> Site:
    """Bring a site back that was put away."""
    site: Site = Site.objects.select_for_update(no_key=True).get(pk=site_id)
    if site.archived_at is not None:
        site.archived_at = None
        site.save(update_fields=["archived_at"])
        post_event(verb="restore", subject=site, by=by, at=at)
    return site


def post_erasure(customer_id: int) -> list[str]:
    """Blank the addresses of sites where nothing was laid; part of erasing a customer."""
    assert_in_transaction()
    kept = 0
    for site in Site.objects.select_for_update(no_key=True).filter(customer_id=customer_id):
        site.notes = ""
        if site.jobs.filter(stage__in=("complete", "in_guarantee")).exists():
            kept += 1
        else:
            site.name, site.address, site.postcode = f"erased site {site.pk}", "erased", ""
        site.version += 1
        site.save(update_fields=["name", "address", "postcode", "notes", "version"])
    if not kept:
        return []
    sites = "the address of one site" if kept == 1 else f"the addresses of {kept} sites"
    return [f"Kept: {sites} where a surface lies, for its guarantee and to trace its materials."]
