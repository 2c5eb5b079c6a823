"""Sending a variation: frozen with what it rests on, drawn, mailed once, replaced, withdrawn."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db import transaction
from django.db.models import Max, Q
from django.urls import reverse

from jobs.attachments.rules import CheckedFile
from jobs.attachments.services import post_attachment
from jobs.audit.services import post_event
from jobs.kernel.clock import london_day
from jobs.kernel.enqueue import enqueue
from jobs.kernel.errors import ServiceError
from jobs.kernel.templatetags.firm import day_year, signed_money
from jobs.outbox.services import post_message
from quotes.acceptance.services import new_link
from quotes.variations import queries
from quotes.variations.enums import VariationState
from quotes.variations.models import ChangeLine, Variation, VariationLink
from quotes.variations.rules import VariationSheet
from quotes.variations.rules.sheet import SCHEMA
from quotes.variations.services.drafts import (
    HOLDS,
    lock_draft,
    lock_variation,
    recompute,
    refuse_closed,
)

DRAW_TASK = "quotes.variations.draw"
DELIVER_TASK = "quotes.variations.deliver"
# Held by those who write, send or cost quotes, and by nobody else.
SEE = "jobs.see_billing"


@transaction.atomic(durable=True)
def send_variation(*, variation_id: int, to: str, by: Any, at: datetime) -> Variation:
    """Freeze a draft as V1, V2, … and let it go to `to`: drawn first, then mailed with its link.

    Refuses an empty one, one whose day is over, and one under which what is ordered or reserved
    has moved. What it replaces is closed; its link says so.
    """
    variation = lock_draft(variation_id)
    lines = list(variation.lines.all())
    _check(variation, lines, to, at)
    before = variation.net
    recompute(variation)
    if variation.net != before:
        raise ServiceError(
            "What is ordered or reserved for the job changed since this was priced. Save it again "
            "and look at its charges.", code="changed",
        )  # fmt: skip
    job = variation.revision.quote.job
    moment = queries.order_moment(job, lines, at)
    variation.number = _next_number(variation)
    sheet = queries.build_sheet(
        variation, lines, moment, label=variation.label, day=london_day(at)
    )  # fmt: skip
    variation.order_by = sheet.order_by
    variation.snapshot = {
        "schema": SCHEMA, "sheet": sheet.as_dict(), "lines": costs_snapshot(lines),
        "priced_on": variation.priced_on.isoformat(),
    }  # fmt: skip
    variation.state, variation.sent_at, variation.sent_by = VariationState.SENT, at, by
    variation.sent_to = to
    variation.save()
    _close_replaced(variation, by, at)
    post_event(
        verb="send variation", subject=variation, by=by, at=at,
        after={"to": to, "gross": variation.gross, "number": variation.number},
    )  # fmt: skip
    enqueue(DRAW_TASK, variation.pk)
    return variation


def _check(variation: Variation, lines: list[ChangeLine], to: str, at: datetime) -> None:
    try:
        validate_email(to)
    except ValidationError as error:
        raise ServiceError("Give an e-mail address like name@example.com.", field="to") from error
    refuse_closed(variation.revision.quote.job)
    if not lines and not variation.days_added:
        raise ServiceError("Nothing changes yet: add a line, or say how many days.", code="empty")
    if variation.valid_until < london_day(at):
        raise ServiceError("The day until which it holds is over. Give a later one.", code="over")


def _next_number(variation: Variation) -> int:
    rows = Variation.objects.filter(revision__quote_id=variation.revision.quote_id)
    last: int | None = rows.aggregate(last=Max("number"))["last"]
    return (last or 0) + 1


def _close_replaced(variation: Variation, by: Any, at: datetime) -> None:
    if variation.replaces_id is None:
        return
    old = Variation.objects.get(pk=variation.replaces_id)
    if old.state == VariationState.ACCEPTED:
        raise ServiceError("The variation that this replaces was accepted meanwhile.", code="shut")
    if old.state == VariationState.SENT:
        old.state, old.closed_at = VariationState.REPLACED, at
        old.save(update_fields=["state", "closed_at"])
        post_event(verb="replace variation", subject=old, by=by, at=at)


def costs_snapshot(lines: list[ChangeLine]) -> list[dict[str, Any]]:
    """Return the lines with their costs, as they are frozen beside the sheet."""
    names = ("labour_hours", "labour", "plant", "materials", "other", "direct", "net", "quantity")
    return [
        {
            "key": line.pk, "kind": line.kind, "words": line.words, "unit": line.unit,
            "stock": line.stock, **{name: str(getattr(line, name)) for name in names},
        }
        for line in lines
    ]  # fmt: skip


@transaction.atomic(durable=True)
def revise_variation(*, variation_id: int, by: Any, at: datetime) -> Variation:
    """Copy a sent, declined or withdrawn variation as a draft that will replace it."""
    old = lock_variation(variation_id)
    if old.state not in {
        VariationState.SENT, VariationState.DECLINED, VariationState.WITHDRAWN,
    }:  # fmt: skip
        raise ServiceError("Only a variation that was sent and not accepted is replaced.")
    if old.replaced_by.filter(state=VariationState.DRAFT).exists():
        raise ServiceError("Its replacement is in draft already; go on with that one.")
    refuse_closed(old.revision.quote.job)
    day = london_day(at)
    new = Variation.objects.create(
        revision=old.revision, replaces=old, title=old.title, words=old.words,
        days_added=old.days_added, restocking_percent=old.restocking_percent,
        charge_kept=old.charge_kept, valid_until=day + HOLDS, priced_on=day, created_at=at,
        created_by=by,
    )  # fmt: skip
    lines = list(old.lines.all())
    for line in lines:
        line.pk, line.variation = None, new
    ChangeLine.objects.bulk_create(lines)
    recompute(new)
    post_event(verb="revise variation", subject=new, by=by, at=at, before={"number": old.number})
    return new


@transaction.atomic(durable=True)
def withdraw_variation(*, variation_id: int, by: Any, at: datetime) -> Variation:
    """Take back a sent variation; whoever opens its link is told so."""
    variation = lock_variation(variation_id)
    if variation.state != VariationState.SENT:
        raise ServiceError("Only a variation that was sent and not answered is withdrawn.")
    variation.state, variation.closed_at = VariationState.WITHDRAWN, at
    variation.save(update_fields=["state", "closed_at"])
    post_event(verb="withdraw variation", subject=variation, by=by, at=at)
    return variation


# -- drawing and mailing -----------------------------------------------------------------------


def claim_drawing(*, variation_id: int, at: datetime) -> Variation | None:
    """Claim the drawing for this worker; None where another has it or it is done."""
    free = Q(drawing_at=None) | Q(drawing_at__lt=at - queries.STUCK_AFTER)
    mine = Variation.objects.filter(
        free, pk=variation_id, pdf_uid=None, number__isnull=False
    ).update(drawing_at=at)  # fmt: skip
    return queries.with_all().get(pk=variation_id) if mine else None


@transaction.atomic(durable=True)
def keep_pdf(*, variation_id: int, kept: CheckedFile, at: datetime) -> Variation:
    """Record the PDF of a sent variation with its hash, once; the mail follows."""
    variation = lock_variation(variation_id)
    if variation.pdf_uid is not None:
        return variation
    attachment = post_attachment(
        kept=kept, about=variation, permission=SEE, caption="the variation", by=None, at=at
    )
    variation.pdf_uid, variation.pdf_digest = attachment.uid, attachment.digest
    variation.drawing_error = ""
    variation.save(update_fields=["pdf_uid", "pdf_digest", "drawing_error"])
    enqueue(DELIVER_TASK, variation.pk)
    return variation


@transaction.atomic(durable=True)
def fail_drawing(*, variation_id: int, error: str, at: datetime) -> None:
    """Record that it could not be drawn; the sweep tries again after some minutes."""
    Variation.objects.filter(pk=variation_id, pdf_uid=None).update(
        drawing_error=error[:300], drawing_at=at
    )


@transaction.atomic(durable=True)
def deliver_variation(*, variation_id: int, at: datetime) -> VariationLink | None:
    """Mail a sent variation: link and PDF, once. None where it is not ready or was mailed."""
    variation = lock_variation(variation_id)
    ready = variation.state == VariationState.SENT and variation.pdf_uid is not None
    if not ready or variation.links.exists():
        return None
    return _mail_link(variation, f"variation:{variation.pk}", at)


@transaction.atomic(durable=True)
def send_link_again(*, variation_id: int, by: Any, at: datetime) -> VariationLink:
    """Withdraw the links that stand and mail a new one to the same address.

    Refuses (ServiceError) one that was answered, withdrawn or replaced, whose day is over, or
    whose PDF is not drawn yet.
    """
    variation = lock_variation(variation_id)
    if variation.state != VariationState.SENT:
        raise ServiceError("Only a variation that waits for its answer has a link.", code="shut")
    if variation.pdf_uid is None:
        raise ServiceError("The PDF is not drawn yet; the variation goes out by itself then.")
    if variation.valid_until < london_day(at):
        raise ServiceError("Its day is over. Replace it, and send that.", code="over")
    variation.links.filter(withdrawn_at=None).update(withdrawn_at=at)
    count = variation.links.count()
    occasion = f"variation:{variation.pk}" + (f":{count}" if count else "")
    link = _mail_link(variation, occasion, at)
    post_event(verb="send link again", subject=variation, by=by, at=at)
    return link


def _mail_link(variation: Variation, occasion: str, at: datetime) -> VariationLink:
    link, token = new_link(
        VariationLink, valid_until=variation.valid_until, at=at, variation=variation
    )  # fmt: skip
    sheet = queries.sheet_of(variation, at)
    post_message(
        occasion=occasion, audience="customer", to=variation.sent_to,
        subject=f"{sheet.title_line}: {sheet.title}", body=letter(sheet, address_of(token)),
        about=variation.revision.quote.job,
        attachments=[variation.pdf_uid] if variation.pdf_uid else [], at=at,
    )  # fmt: skip
    return link


def address_of(token: str) -> str:
    """Return the whole address of a link."""
    return f"{settings.BASE_URL}{reverse('variations:answer', args=[token])}"


def letter(sheet: VariationSheet, address: str) -> str:
    """Return the words that go with a variation."""
    change = signed_money(sheet.gross if sheet.consumer else sheet.net)
    vat = "with VAT" if sheet.consumer else "before VAT"
    return (
        f"Dear {sheet.customer},\n\n"
        f"Here is the change we spoke of, {sheet.label} to your quote {sheet.reference}: "
        f"{sheet.title}. It changes the price by {change} {vat}. {sheet.effect} "
        f"It holds until {day_year(sheet.valid_until)}.\n\n"
        f"The PDF is attached. To see it, accept it or decline it, open:\n\n{address}\n\n"
        "The link is for you alone; whoever has it can answer for you. Until you accept, the job "
        "stays as agreed.\n\n"
        f"{sheet.firm}\n"
    )
