"""Links to sent quotes: made once the PDF is kept, told only in the message, kept as a hash."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from typing import Any, TypeVar

from django.conf import settings
from django.db import transaction
from django.urls import reverse

from jobs.audit.services import post_event
from jobs.kernel.clock import at_wall
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import assert_in_transaction
from jobs.kernel.templatetags.firm import day_year, money
from jobs.outbox.services import post_message
from quotes.acceptance.models import LinkModel, QuoteLink
from quotes.acceptance.rules import hash_of, new_token
from quotes.quoting.enums import RevisionState
from quotes.quoting.models import Quote, Revision
from quotes.quoting.queries import sheet_of
from quotes.quoting.rules import QuoteSheet

Link = TypeVar("Link", bound=LinkModel)


def lock_sent(revision_id: int) -> Revision:
    """Return a revision under its quote's lock, read after it; refuse one that is not open."""
    quote_id = Revision.objects.values_list("quote_id", flat=True).get(pk=revision_id)
    Quote.objects.select_for_update(no_key=True).get(pk=quote_id)
    found: Revision = Revision.objects.with_job().get(pk=revision_id)
    if found.state != RevisionState.SENT:
        raise ServiceError("Only a quote that was sent and not answered has a link.", code="shut")
    return found


def post_link(revision: Revision, at: datetime) -> tuple[QuoteLink, str]:
    """Make a further link in the caller's transaction and lock; those before it stay good."""
    assert_in_transaction()
    assert revision.valid_until is not None  # noqa: S101 - a sent revision has it, by constraint
    return new_link(QuoteLink, valid_until=revision.valid_until, at=at, revision=revision)


def new_link(
    model: type[Link], *, valid_until: date, at: datetime, **about: Any
) -> tuple[Link, str]:
    """Make a link of a kind and return its token, which is told in the message and nowhere else.

    It holds to the end of its last day.
    """
    token = new_token()
    end = at_wall(valid_until + timedelta(days=1), time(0))
    link = model(token_hash=hash_of(token), created_at=at, expires_at=end, **about)
    link.save()
    return link, token


@transaction.atomic(durable=True)
def make_link(*, revision_id: int, by: Any, at: datetime) -> tuple[QuoteLink, str]:
    """Make a link to a sent quote and return its token, which is told this once and never again."""
    revision = lock_sent(revision_id)
    link, token = post_link(revision, at)
    post_event(verb="make link", subject=revision, by=by, at=at)
    return link, token


@transaction.atomic(durable=True)
def deliver_quote(*, revision_id: int, at: datetime) -> QuoteLink | None:
    """Mail a sent quote: link and PDF, once. None where it is not ready or was mailed already."""
    try:
        revision = lock_sent(revision_id)
    except ServiceError:
        return None
    if revision.pdf_uid is None or revision.links.exists():
        return None
    return _mail_link(revision, f"quote:{revision.pk}", at)


@transaction.atomic(durable=True)
def send_link_again(*, revision_id: int, by: Any, at: datetime) -> QuoteLink:
    """Withdraw the links that stand and mail a new one to the same address."""
    revision = lock_sent(revision_id)
    if revision.pdf_uid is None:
        raise ServiceError("The PDF is not drawn yet; the quote goes out by itself when it is.")
    revision.links.filter(withdrawn_at=None).update(withdrawn_at=at)
    count = revision.links.count()
    link = _mail_link(revision, f"quote:{revision.pk}:{count}", at)
    post_event(verb="send link again", subject=revision, by=by, at=at)
    return link


@transaction.atomic(durable=True)
def withdraw_links(*, revision_id: int, by: Any, at: datetime) -> Revision:
    """Take back the links of a sent quote; whoever opens one is told so in a sentence."""
    revision = lock_sent(revision_id)
    revision.links.filter(withdrawn_at=None).update(withdrawn_at=at)
    post_event(verb="withdraw link", subject=revision, by=by, at=at)
    return revision


@transaction.atomic(durable=True)
def note_opened(*, link_id: int, at: datetime) -> None:
    """Note when a link was first opened."""
    QuoteLink.objects.filter(pk=link_id, first_opened_at=None).update(first_opened_at=at)


def _mail_link(revision: Revision, occasion: str, at: datetime) -> QuoteLink:
    link, token = post_link(revision, at)
    sheet = sheet_of(revision)
    post_message(
        occasion=occasion,
        audience="customer",
        to=revision.sent_to,
        subject=subject_of(sheet),
        body=letter(sheet, address_of(token)),
        about=revision.quote.job,
        attachments=[revision.pdf_uid] if revision.pdf_uid else [],
        at=at,
    )
    return link


def address_of(token: str) -> str:
    """Return the whole address of a link."""
    return f"{settings.BASE_URL}{reverse('acceptance:quote', args=[token])}"


def subject_of(sheet: QuoteSheet) -> str:
    """Return the head of the message; a later revision is told from the one before."""
    later = f", revision {sheet.number}" if sheet.number > 1 else ""
    return f"{sheet.title_line}{later}: {sheet.title}"


def letter(sheet: QuoteSheet, address: str) -> str:
    """Return the words that go with a quote."""
    price = f"{money(sheet.gross)} with VAT" if sheet.consumer else f"{money(sheet.net)} before VAT"
    own = f"{sheet.message}\n\n" if sheet.message else ""
    later = "It takes the place of the one that we sent before. " if sheet.number > 1 else ""
    return (
        f"Dear {sheet.customer},\n\n{own}"
        f"Here is our quote {sheet.reference} for {sheet.title}: {price}. {later}"
        f"It holds until {day_year(sheet.valid_until)}.\n\n"
        f"The PDF is attached. To see it, accept it or decline it, open:\n\n{address}\n\n"
        "The link is for you alone; whoever has it can answer for you.\n\n"
        f"{sheet.firm}\n"
    )
