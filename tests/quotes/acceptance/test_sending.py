"""A quote leaves through a real mail server, once: also where it is down, slow, or says no.

The server is a process of its own (aiosmtpd), see tests/jobs/outbox/servers.py.
"""

from __future__ import annotations

import email
import email.policy
from collections.abc import Iterator
from contextlib import ExitStack
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from jobs.outbox.models import Message
from jobs.outbox.services import send_again, send_message, sweep_messages
from quotes.acceptance import services
from quotes.acceptance.models import QuoteLink
from quotes.acceptance.queries import open_link
from quotes.chasing.services import chase
from quotes.quoting.services import revise, send_revision
from tests.jobs.outbox.servers import mail_server
from tests.quotes.acceptance.world import PDF, SentWorld, make_sent

pytestmark = pytest.mark.django_db(transaction=True)
MINUTE = timedelta(minutes=1)


class Server:
    """A mail server that can be stopped and started again in another mood."""

    def __init__(self, settings: Any, folder: Path) -> None:
        self.settings, self.folder, self.stack = settings, folder, ExitStack()

    def start(self, mode: str) -> None:
        self.stop()
        self.settings.EMAIL_PORT = self.stack.enter_context(mail_server(mode, self.folder))

    def stop(self) -> None:
        self.stack.close()

    @property
    def taken(self) -> list[Any]:
        policy = email.policy.default
        return [
            email.message_from_bytes(path.read_bytes(), policy=policy)
            for path in sorted(self.folder.iterdir())
        ]


@pytest.fixture
def server(settings: Any, tmp_path: Path) -> Iterator[Server]:
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_USE_TLS, settings.EMAIL_TIMEOUT = "127.0.0.1", False, 2
    settings.EMAIL_HOST_USER = settings.EMAIL_HOST_PASSWORD = ""
    found = Server(settings, tmp_path / "taken")
    yield found
    found.stop()


def mailed(at: datetime) -> tuple[SentWorld, Message]:
    """A sent quote whose message waits in the outbox."""
    sent = make_sent()
    QuoteLink.objects.all().delete()
    services.deliver_quote(revision_id=sent.revision.pk, at=at)
    return sent, Message.objects.get(occasion=f"quote:{sent.revision.pk}")


def test_a_server_that_is_down_gets_the_quote_once_when_it_is_back(
    server: Server, at: datetime
) -> None:
    server.start("accepts")
    server.stop()
    sent, message = mailed(at)
    assert not send_message(message_id=message.pk, at=at)
    # The bell rings again, and the quote's own sweep too: still one message, one link.
    assert services.deliver_quote(revision_id=sent.revision.pk, at=at) is None
    message.refresh_from_db()
    assert (message.state, message.tries) == ("due", 1)
    assert message.last_error

    server.start("accepts")
    assert sweep_messages(at=at + 5 * MINUTE) == 1
    assert sweep_messages(at=at + 50 * MINUTE) == 0

    (mail,) = server.taken
    assert mail["To"] == "home@customer.example"
    token = mail.get_body().get_content().split("/q/")[1].split("/")[0]
    assert open_link(token, at) is not None
    (paper,) = mail.iter_attachments()
    assert paper.get_content() == PDF


@pytest.mark.parametrize("mode", ["slow", "breaks"])
def test_doubt_never_mails_a_quote_twice_by_itself(mode: str, server: Server, at: datetime) -> None:
    server.start(mode)
    _, message = mailed(at)
    send_message(message_id=message.pk, at=at)
    assert len(server.taken) == 1  # the server had it, and the program cannot know

    server.start("accepts")
    for hour in (1, 24, 240):
        sweep_messages(at=at + timedelta(hours=hour))
    message.refresh_from_db()
    assert message.state == "sending"
    assert len(server.taken) == 1
    # A person decides; then it goes under the same number.
    later = at + timedelta(days=11)
    send_again(message_id=message.pk, by=None, at=later)
    assert send_message(message_id=message.pk, at=later)
    assert len({mail["Message-ID"] for mail in server.taken}) == 1


def test_a_mailbox_that_says_no_for_good_is_told(server: Server, at: datetime) -> None:
    server.start("refuses")
    _, message = mailed(at)

    assert not send_message(message_id=message.pk, at=at)

    message.refresh_from_db()
    assert message.state == "failed"
    assert "No such mailbox" in message.last_error


def test_a_reminder_that_waited_for_the_server_is_not_sent_after_the_answer(
    server: Server, at: datetime
) -> None:
    server.start("accepts")
    server.stop()
    sent = make_sent()
    monday = at + timedelta(days=4, hours=1)
    message = chase(revision_id=sent.revision.pk, at=monday)
    assert message is not None
    assert not send_message(message_id=message.pk, at=monday)
    services.decline(token=sent.token, reason="Too dear", at=monday)

    server.start("accepts")
    sweep_messages(at=monday + 5 * MINUTE)

    assert [mail["To"] for mail in server.taken] == ["office@resinwright.example"]
    message.refresh_from_db()
    assert message.state == "dropped"


def test_a_new_link_holds_back_the_message_with_the_old_one(server: Server, at: datetime) -> None:
    """The customer gets one mail, and the link in it is good."""
    server.start("accepts")
    server.stop()
    sent, first = mailed(at)
    assert not send_message(message_id=first.pk, at=at)
    services.send_link_again(revision_id=sent.revision.pk, by=None, at=at)

    server.start("accepts")
    sweep_messages(at=at + 50 * MINUTE)

    first.refresh_from_db()
    assert (first.state, "withdrawn" in first.last_error) == ("dropped", True)
    (mail,) = server.taken
    opened = open_link(mail.get_body().get_content().split("/q/")[1].split("/")[0], at)
    assert opened is not None
    assert opened.shut == ""


def test_a_quote_that_was_replaced_meanwhile_is_not_mailed(server: Server, at: datetime) -> None:
    server.start("accepts")
    sent, message = mailed(at)
    new = revise(revision_id=sent.revision.pk, by=None, at=at)
    send_revision(revision_id=new.pk, to="home@customer.example", by=None, at=at)

    assert not send_message(message_id=message.pk, at=at)

    message.refresh_from_db()
    assert (message.state, server.taken) == ("dropped", [])
