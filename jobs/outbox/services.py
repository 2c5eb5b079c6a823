"""Writing messages to the outbox, and sending them once their transaction has committed."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from datetime import datetime, timedelta
from enum import Enum
from smtplib import SMTPException, SMTPRecipientsRefused, SMTPResponseException
from typing import Any
from uuid import UUID

from django.conf import settings
from django.core.exceptions import ObjectDoesNotExist
from django.core.mail import EmailMessage, get_connection
from django.db import transaction
from django.db.models import F, Model, QuerySet

from jobs.attachments.queries import attachment_bytes
from jobs.audit.services import post_event
from jobs.kernel.enqueue import enqueue
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import assert_in_transaction
from jobs.kernel.registries import why_held_back
from jobs.outbox.enums import Audience, MessageState
from jobs.outbox.models import Message
from jobs.outbox.queries import STUCK_AFTER, may_be_dropped, may_go_again

MOST_TRIES = 6
SEND_TASK = "jobs.outbox.send"


class Outcome(Enum):
    """What is known of a message that was not sent."""

    REFUSED = "the server has not taken it; it may later"
    FOR_GOOD = "the server will not take it, or it cannot be written"
    IN_DOUBT = "the line broke while the server may have had it"


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
) -> Message:
    """Put a message into the outbox in the caller's transaction; one for each occasion."""
    assert_in_transaction()
    message, made = Message.objects.get_or_create(
        occasion=occasion,
        defaults={
            "audience": audience,
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
    try:
        mail = _mail(message)
        mail.message()
    except (ValueError, OSError, ObjectDoesNotExist) as error:
        # It cannot even be written, e.g. for want of its file: no try of ours will mend that.
        _mark_failure(message, error, Outcome.FOR_GOOD, at=at)
        return False
    failure = _hand_over(mail)
    if failure is not None:
        _mark_failure(message, *failure, at=at)
        return False
    _still_ours(message).update(state=MessageState.SENT, sent_at=at, last_error="")
    return True


def _hand_over(mail: EmailMessage) -> tuple[Exception, Outcome] | None:
    """Give the mail to the server; returns what went wrong, None when the server has it."""
    connection = get_connection(fail_silently=False)
    try:
        connection.open()
    except (SMTPException, OSError) as error:
        return error, Outcome.REFUSED
    mail.connection = connection
    try:
        mail.send()
    except (SMTPException, OSError) as error:
        return error, _outcome(error)
    finally:
        # The server has answered by now: a farewell that fails changes nothing.
        with suppress(SMTPException, OSError):
            connection.close()
    return None


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


def _mark_failure(message: Message, error: Exception, outcome: Outcome, *, at: datetime) -> None:
    text = f"{type(error).__name__}: {error}"[:300]
    row = _still_ours(message)
    if outcome is Outcome.IN_DOUBT and message.audience != Audience.STAFF:
        row.update(last_error=text)
    elif outcome is Outcome.FOR_GOOD or message.tries >= MOST_TRIES:
        row.update(state=MessageState.FAILED, last_error=text)
    else:
        wait = timedelta(minutes=2**message.tries)
        row.update(state=MessageState.DUE, last_error=text, due_at=at + wait)


def sweep_messages(*, at: datetime) -> int:
    """Send whatever is due; staff mail stuck in sending goes again. Returns how many were sent."""
    Message.objects.filter(
        state=MessageState.SENDING, audience=Audience.STAFF, claimed_at__lt=at - STUCK_AFTER
    ).update(state=MessageState.DUE, last_error="sent again after a worker stopped")
    due = Message.objects.filter(state=MessageState.DUE, due_at__lte=at).order_by("due_at", "pk")
    return sum(send_message(message_id=pk, at=at) for pk in list(due.values_list("pk", flat=True)))


@transaction.atomic(durable=True)
def send_again(*, message_id: int, by: Any, at: datetime) -> Message:
    """A person decides that a failed or stuck message goes again."""
    message = Message.objects.select_for_update(no_key=True).get(pk=message_id)
    if not may_go_again(message, at):
        raise ServiceError(
            "Only a message that failed, was withdrawn or has been stuck for ten minutes "
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
