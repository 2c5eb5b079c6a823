"""Writing messages to the outbox, and sending them once their transaction has committed."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import Enum
from smtplib import SMTPException, SMTPRecipientsRefused, SMTPResponseException
from typing import Any
from uuid import UUID

from django.conf import settings
from django.core.exceptions import ImproperlyConfigured, ObjectDoesNotExist
from django.core.mail import EmailMessage, get_connection
from django.db import transaction
from django.db.models import F, Model, QuerySet
from django.utils.module_loading import import_string

from jobs.attachments.queries import attachment_bytes
from jobs.audit.services import post_event
from jobs.kernel.enqueue import enqueue
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import assert_in_transaction
from jobs.kernel.registries import post_sent, why_held_back
from jobs.outbox.enums import Audience, Channel, MessageState
from jobs.outbox.models import Message
from jobs.outbox.queries import STUCK_AFTER, may_be_dropped, may_go_again
from jobs.outbox.rules import PermanentError, TemporaryError, TextGateway, UnknownOutcomeError

MOST_TRIES = 6
SEND_TASK = "jobs.outbox.send"


class Outcome(Enum):
    """What is known of a message that was not sent."""

    REFUSED = "the server has not taken it; it may later"
    FOR_GOOD = "the server will not take it, or it cannot be written"
    IN_DOUBT = "the line broke while the server may have had it"


@dataclass(frozen=True)
class Handed:
    """What came of handing a message over: no error and what the other side calls it, or why not.

    `outcome` says what is known where there is an error.
    """

    error: Exception | None = None
    outcome: Outcome = Outcome.IN_DOUBT
    reference: str = ""


def post_message(
    *,
    occasion: str,
    audience: str,
    to: str,
    subject: str,
    body: str,
    at: datetime,
    about: Model | None = None,
    attachments: Sequence[UUID] = (),
    due_at: datetime | None = None,
    channel: str = Channel.MAIL,
) -> Message:
    """Put a message into the outbox in the caller's transaction; one for each occasion.

    A text message takes a number as E.164 has it, and carries no attachments.
    """
    assert_in_transaction()
    message, made = Message.objects.get_or_create(
        occasion=occasion,
        defaults={
            "audience": audience,
            "channel": channel,
            "to": to,
            "subject": " ".join(subject.split())[:200],
            "body": body,
            "attachments": [str(uid) for uid in attachments],
            "about_type": about._meta.label_lower if about else "",
            "about_id": about.pk if about else None,
            "due_at": due_at or at,
            "created_at": at,
        },
    )
    if made:
        enqueue(SEND_TASK, message.pk)
    return message


def send_message(*, message_id: int, at: datetime) -> bool:
    """Claim one due message, send it outside any transaction, and mark what came of it.

    Returns False when it was not due or another worker has it. A refusal that is certain (the
    server said no before taking it) is tried again later, or given up where the server says that
    it is for good; for a customer or supplier, doubt (the line broke while the server had it)
    leaves the row in sending, for a person to decide.
    """
    claimed = Message.objects.filter(pk=message_id, state=MessageState.DUE, due_at__lte=at).update(
        state=MessageState.SENDING, claimed_at=at, tries=F("tries") + 1
    )
    if not claimed:
        return False
    message = Message.objects.get(pk=message_id)
    if reason := why_held_back(message.occasion, at):
        # What it was about was settled since it was written.
        _still_ours(message).update(state=MessageState.DROPPED, last_error=reason[:300])
        return False
    handed = _send_text(message) if message.channel == Channel.TEXT else _send_mail(message)
    if handed.error is not None:
        _mark_failure(message, handed.error, handed.outcome, at=at)
        return False
    _mark_sent(message, handed.reference, at=at)
    return True


def _send_mail(message: Message) -> Handed:
    """Write the mail and give it to the server."""
    try:
        mail = _mail(message)
        mail.message()
    except (ValueError, OSError, ObjectDoesNotExist) as error:
        # It cannot even be written, e.g. for want of its file: no try of ours will mend that.
        return Handed(error, Outcome.FOR_GOOD)
    connection = get_connection(fail_silently=False)
    try:
        connection.open()
    except (SMTPException, OSError) as error:
        return Handed(error, Outcome.REFUSED)
    mail.connection = connection
    try:
        mail.send()
    except (SMTPException, OSError) as error:
        return Handed(error, _outcome(error))
    finally:
        # The server has answered by now: a farewell that fails changes nothing.
        with suppress(SMTPException, OSError):
            connection.close()
    return Handed()


def _send_text(message: Message) -> Handed:
    """Give a text to the gateway that the settings name."""
    try:
        gateway = text_gateway()
        return Handed(reference=gateway.send(message.to, message.body, str(message.uid)))
    except (ImproperlyConfigured, ImportError, PermanentError) as error:
        return Handed(error, Outcome.FOR_GOOD)
    except TemporaryError as error:
        return Handed(error, Outcome.REFUSED)
    except (UnknownOutcomeError, OSError) as error:
        return Handed(error, Outcome.IN_DOUBT)


def text_gateway() -> TextGateway:
    """Return the gateway of the settings; ImproperlyConfigured where texts are off."""
    name = settings.TEXT_GATEWAY
    if not name:
        raise ImproperlyConfigured("The text gateway is off.")
    path = name if "." in name else f"jobs.outbox.textgateways.{name}"
    gateway: TextGateway = import_string(f"{path}.Gateway")()
    return gateway


def _mail(message: Message) -> EmailMessage:
    domain = settings.DEFAULT_FROM_EMAIL.rpartition("@")[2].strip("> ")
    mail = EmailMessage(
        subject=message.subject,
        body=message.body,
        from_email=settings.DEFAULT_FROM_EMAIL,
        to=[message.to],
        # Fixed, so that a mail client shows a repeat as the same message.
        headers={"Message-ID": f"<{message.uid}@{domain}>"},
    )
    for uid in message.attachments:
        name, content, content_type = attachment_bytes(UUID(uid))
        mail.attach(name, content, content_type)
    return mail


def _outcome(error: Exception) -> Outcome:
    """Return what an error says of the message: RFC 5321, 4.2.1: 4yz for now, 5yz for good."""
    if isinstance(error, SMTPRecipientsRefused):
        codes = [code for code, _words in error.recipients.values()]
    elif isinstance(error, SMTPResponseException):
        codes = [error.smtp_code]
    else:
        return Outcome.IN_DOUBT
    return Outcome.FOR_GOOD if codes and min(codes) >= 500 else Outcome.REFUSED


def _still_ours(message: Message) -> QuerySet[Message]:
    """The row, if nobody decided otherwise or claimed it again while the server was asked."""
    return Message.objects.filter(
        pk=message.pk, state=MessageState.SENDING, claimed_at=message.claimed_at
    )


def _mark_sent(message: Message, reference: str, *, at: datetime) -> None:
    """Mark it, and let what follows from its having left be written with it."""
    with transaction.atomic():
        marked = _still_ours(message).update(
            state=MessageState.SENT, sent_at=at, last_error="", reference=reference[:120]
        )
        if marked:
            post_sent(message.occasion, at)


def _mark_failure(message: Message, error: Exception, outcome: Outcome, *, at: datetime) -> None:
    text = f"{type(error).__name__}: {error}"[:300]
    row = _still_ours(message)
    if outcome is Outcome.IN_DOUBT and not _may_repeat(message):
        row.update(last_error=text)
    elif outcome is Outcome.FOR_GOOD or message.tries >= MOST_TRIES:
        row.update(state=MessageState.FAILED, last_error=text)
    else:
        wait = timedelta(minutes=2**message.tries)
        row.update(state=MessageState.DUE, last_error=text, due_at=at + wait)


def _may_repeat(message: Message) -> bool:
    """Return whether a repeat does no harm: our own mail, which a fixed Message-ID marks as one."""
    return message.audience == Audience.STAFF and message.channel == Channel.MAIL


def sweep_messages(*, at: datetime) -> int:
    """Send whatever is due; staff mail stuck in sending goes again. Returns how many were sent."""
    Message.objects.filter(
        state=MessageState.SENDING,
        audience=Audience.STAFF,
        channel=Channel.MAIL,
        claimed_at__lt=at - STUCK_AFTER,
    ).update(state=MessageState.DUE, last_error="sent again after a worker stopped")
    due = Message.objects.filter(state=MessageState.DUE, due_at__lte=at).order_by("due_at", "pk")
    return sum(send_message(message_id=pk, at=at) for pk in list(due.values_list("pk", flat=True)))


@transaction.atomic(durable=True)
def send_again(*, message_id: int, by: Any, at: datetime) -> Message:
    """A person decides that a failed or stuck message goes again."""
    message = Message.objects.select_for_update(no_key=True).get(pk=message_id)
    if not may_go_again(message, at):
        raise ServiceError(
            "Only a message that failed, was kept back or has been stuck for ten minutes "
            "can go again."
        )
    message.state, message.due_at, message.tries = MessageState.DUE, at, 0
    message.last_error = ""
    message.save(update_fields=["state", "due_at", "tries", "last_error"])
    post_event(verb="send_again", subject=message, by=by, at=at)
    enqueue(SEND_TASK, message.pk)
    return message


@transaction.atomic(durable=True)
def drop_message(*, message_id: int, by: Any, at: datetime, reason: str = "") -> Message:
    """A person decides that a message which has not left does not go."""
    message = Message.objects.select_for_update(no_key=True).get(pk=message_id)
    if message.state == MessageState.SENT:
        raise ServiceError("It was sent already and cannot be called back.")
    if not may_be_dropped(message, at):
        raise ServiceError("It is being sent at this moment. Look again in ten minutes.")
    message.state = MessageState.DROPPED
    message.save(update_fields=["state"])
    post_event(verb="drop_message", subject=message, by=by, at=at, reason=reason)
    return message


def post_blanked(*, about_type: str, about_ids: Sequence[int]) -> int:
    """Blank what messages about these rows say and whom they went to; part of erasing a person.

    What still waits is kept back for good. Returns how many rows were blanked; that and when each
    was sent stays known. Our own people's and suppliers' addresses stay.
    """
    assert_in_transaction()
    rows = Message.objects.filter(about_type=about_type, about_id__in=about_ids)
    rows.exclude(state=MessageState.SENT).update(state=MessageState.DROPPED)
    rows.filter(audience=Audience.CUSTOMER).update(to="")
    return rows.update(subject="erased", body="", attachments=[], last_error="", reference="")
