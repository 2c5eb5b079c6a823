"""Opening jobs and changing what they say."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction

from jobs.audit.services import changes, post_event
from jobs.customers.enums import CustomerKind, Source
from jobs.customers.models import Customer
from jobs.customers.rules import same_words, tidy_line, tidy_lines
from jobs.customers.services import post_customer
from jobs.kernel.clock import london_day
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import assert_in_transaction, claim_key, finish_key
from jobs.kernel.series import next_reference
from jobs.kernel.versions import lock_version
from jobs.sites.models import Site
from jobs.sites.services import post_site
from jobs.work.enums import Stage
from jobs.work.models import Job, StageChange
from jobs.work.rules import title_of

EDITABLE = ("title", "enquiry", "source", "customer_order_number")
PERSONAL = frozenset({"title", "enquiry"})


def post_job(
    *, site: Site, title: str, source: str, enquiry: str, by: Any, at: datetime,
    customer_order_number: str = "",
) -> Job:  # fmt: skip
    """Open a job at a site as part of a larger write; it gets its reference here."""
    assert_in_transaction()
    job = Job(
        customer_id=site.customer_id, site=site, title=title_of(title, site.address),
        source=source, enquiry=tidy_lines(enquiry),
        customer_order_number=tidy_line(customer_order_number),
        opened_at=at, opened_by=by, stage_since=at,
    )  # fmt: skip
    check_job(job)
    job.reference = next_reference("J", london_day(at))
    job.save()
    StageChange.objects.create(job=job, before="", after=Stage.ENQUIRY, at=at, by=by)
    post_event(
        verb="open", subject=job, by=by, at=at,
        after={"customer": job.customer_id, "site": job.site_id, "source": source},
    )  # fmt: skip
    return job


def check_job(job: Job) -> None:
    """Refuse words that the database would refuse, at their field."""
    try:
        # The rest is the program's own: a reference is given after this, nobody may have opened it.
        job.full_clean(exclude=["reference", "opened_by"], validate_constraints=False)
    except ValidationError as error:
        name, sentences = next(iter(error.message_dict.items()))
        raise ServiceError(sentences[0], field=name, code="malformed") from error


def current_site(site_id: int, customer_id: int) -> Site:
    """Return a site that one may work at, of this customer, or refuse."""
    site: Site | None = Site.objects.current().filter(pk=site_id, customer_id=customer_id).first()
    if site is None:
        raise ServiceError(
            "This site is put away or belongs to somebody else; choose another.", field="site"
        )
    return site


@transaction.atomic(durable=True)
def open_job(
    *, customer_id: int, site_id: int, title: str, source: str, enquiry: str, by: Any, at: datetime,
    key: UUID | None = None,
) -> Job:  # fmt: skip
    """Open a job for a customer at one of their sites, as an enquiry."""
    inputs = {
        "customer": customer_id, "site": site_id, "title": title, "source": source,
        "enquiry": enquiry,
    }  # fmt: skip
    if key and (done := claim_key(key=key, kind="open_job", inputs=inputs, at=at)):
        return job_of(done.result)
    site = current_site(site_id, customer_id)
    job = post_job(site=site, title=title, source=source, enquiry=enquiry, by=by, at=at)
    if key:
        finish_key(key=key, result=job.pk)
    return job


def job_of(pk: int | None) -> Job:
    """Return the job that an earlier sending of the same page made."""
    found: Job = Job.objects.get(pk=pk or 0)
    return found


@transaction.atomic(durable=True)
def take_enquiry(  # noqa: PLR0913 - one form, one call
    *,
    title: str,
    words: str,
    source: str,
    by: Any,
    at: datetime,
    name: str = "",
    phone: str = "",
    email: str = "",
    kind: str = CustomerKind.HOUSEHOLD,
    address: str = "",
    postcode: str = "",
    customer_id: int | None = None,
    site_id: int | None = None,
    key: UUID | None = None,
) -> Job:
    """Take an enquiry from one form: the customer, the site and the job, each new or known.

    `customer_id` and `site_id` name what is known; else they are added from the other fields. A
    known customer's site with the same address is used again.
    """
    inputs = {
        "title": title, "words": words, "source": source, "name": name, "phone": phone,
        "email": email, "kind": kind, "address": address, "postcode": postcode,
        "customer": customer_id, "site": site_id,
    }  # fmt: skip
    if key and (done := claim_key(key=key, kind="take_enquiry", inputs=inputs, at=at)):
        return job_of(done.result)
    if customer_id is None:
        refuse_unreachable(phone, email)
        customer = post_customer(by=by, at=at, name=name, phone=phone, email=email, kind=kind)
    else:
        customer = known_customer(customer_id)
    site = enquiry_site(customer, site_id, address, postcode, by=by, at=at)
    job = post_job(site=site, title=title, source=source, enquiry=words, by=by, at=at)
    if key:
        finish_key(key=key, result=job.pk)
    return job


def refuse_unreachable(phone: str, email: str) -> None:
    """Refuse a caller to whom nobody could answer."""
    if not phone.strip() and not email.strip():
        raise ServiceError(
            "Give a telephone number or an e-mail address to answer to.", field="phone"
        )


def known_customer(customer_id: int) -> Customer:
    """Return a customer in use, or refuse."""
    found: Customer | None = Customer.objects.current().filter(pk=customer_id).first()
    if found is None:
        raise ServiceError("This customer is put away; bring the customer back first.")
    return found


def enquiry_site(
    customer: Customer, site_id: int | None, address: str, postcode: str, *, by: Any, at: datetime
) -> Site:
    """Return the site chosen, the customer's site with this address, or a new one."""
    if site_id is not None:
        return current_site(site_id, customer.pk)
    if not address.strip():
        raise ServiceError("Give the address of the site.", field="address")
    sites: Any = customer.sites.filter(archived_at=None)
    for site in sites:
        if same_words(site.address, address) or same_words(
            f"{site.address} {site.postcode}", f"{address} {postcode}"
        ):
            known: Site = site
            return known
    return post_site(customer=customer, by=by, at=at, address=address, postcode=postcode)


@transaction.atomic(durable=True)
def copy_job(
    *, job_id: int, site_id: int, title: str, by: Any, at: datetime, key: UUID | None = None
) -> Job:
    """Open a job like another one, for the same customer: a repeat builder's next plot.

    Its survey can start from the measurements of any earlier job of the customer's.
    """
    inputs = {"job": job_id, "site": site_id, "title": title}
    if key and (done := claim_key(key=key, kind="copy_job", inputs=inputs, at=at)):
        return job_of(done.result)
    like = job_of(job_id)
    site = current_site(site_id, like.customer_id)
    job = post_job(
        site=site, title=title or like.title, source=Source.REPEAT, enquiry=like.enquiry,
        by=by, at=at,
    )  # fmt: skip
    post_event(verb="copy", subject=job, by=by, at=at, after={"from": like.reference})
    if key:
        finish_key(key=key, result=job.pk)
    return job


@transaction.atomic(durable=True)
def change_job(*, job_id: int, version: int, by: Any, at: datetime, **values: Any) -> Job:
    """Change a job's words that is still at `version`, else StaleError; never its stage."""
    job = lock_version(Job, job_id, version)
    unknown = set(values) - set(EDITABLE)
    if unknown:
        raise TypeError(f"not written here: {', '.join(sorted(unknown))}")
    tidy = {"title": tidy_line, "enquiry": tidy_lines, "customer_order_number": tidy_line}
    found = {name: tidy[name](v) if name in tidy else v for name, v in values.items()}
    before, after = changes(job, found)
    if not after:
        return job
    for name, value in after.items():
        setattr(job, name, value)
    check_job(job)
    job.version += 1
    job.save(update_fields=[*after, "version"])
    post_event(
        verb="change", subject=job, by=by, at=at,
        before=named_only(before), after=named_only(after),
    )  # fmt: skip
    return job


def named_only(values: dict[str, object]) -> dict[str, object]:
    """Return values for an event: words that may tell of a person are named but not kept."""
    return {name: "(words)" if name in PERSONAL else value for name, value in values.items()}


def post_erasure(customer_id: int) -> list[str]:
    """Blank what a customer said of each job; part of erasing a customer."""
    assert_in_transaction()
    jobs = Job.objects.filter(customer_id=customer_id)
    jobs.update(enquiry="", title="title erased", customer_order_number="")
    StageChange.objects.filter(job__in=jobs).update(reason="")
    count = jobs.count()
    if not count:
        return []
    many = "s" if count > 1 else ""
    return [f"Kept: references, stages and days of {count} job{many}, for tax and the guarantee."]
