"""Messages leave through a real mail server: once, again, or not at all, and a person decides.

Long because: each refusal and each state has its own short test.
"""

from __future__ import annotations

import email
import email.policy
import threading
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from django.db import connection, connections, transaction
from django.db.models import F

from jobs.attachments.services import keep_file, post_attachment
from jobs.kernel.errors import ServiceError
from jobs.outbox.models import Message
from jobs.outbox.services import (
    MOST_TRIES,
    drop_message,
    post_message,
    send_again,
    send_message,
    sweep_messages,
)
from tests.factories import AT, make_job, numbers
from tests.jobs.outbox.servers import mail_server

pytestmark = pytest.mark.django_db(transaction=True)
Server = Callable[[str], Path]
MINUTE = timedelta(minutes=1)


def write(audience: str = "customer", **more: Any) -> Message:
    values: dict[str, Any] = {
        "occasion": f"test:{next(numbers)}", "audience": audience, "to": "anna@home.example",
        "subject": "Your drive", "body": "We come on Tuesday.", "at": AT,
    }  # fmt: skip
    with transaction.atomic():
        return post_message(**values | more)


def state(message: Message) -> str:
    message.refresh_from_db()
    return message.state


@pytest.fixture
def server(settings: Any, tmp_path: Path) -> Any:
    """Start a real mail server that behaves as told; returns where it keeps what it took."""
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST = "127.0.0.1"
    settings.EMAIL_USE_TLS = False
    settings.EMAIL_HOST_USER = settings.EMAIL_HOST_PASSWORD = ""
    settings.EMAIL_TIMEOUT = 2
    folder = tmp_path / "taken"
    running: list[Any] = []

    def start(mode: str) -> Path:
        stop()
        context = mail_server(mode, folder)
        settings.EMAIL_PORT = context.__enter__()
        running.append(context)
        return folder

    def stop() -> None:
        while running:
            running.pop().__exit__(None, None, None)

    start.stop = stop  # type: ignore[attr-defined]
    yield start
    stop()


def taken(folder: Path) -> list[Any]:
    policy = email.policy.default
    return [
        email.message_from_bytes(path.read_bytes(), policy=policy)
        for path in sorted(folder.iterdir())
    ]


def test_a_message_arrives_as_written_and_only_once(server: Server, at: datetime) -> None:
    folder = server("accepts")
    message = write(body="Wir kämen am Dienstag: £120 für 3 m².")
    assert send_message(message_id=message.pk, at=at) is True
    assert state(message) == "sent"
    assert send_message(message_id=message.pk, at=at) is False
    [mail] = taken(folder)
    assert mail["To"] == "anna@home.example"
    assert mail["Subject"] == "Your drive"
    assert mail["Message-ID"] == f"<{message.uid}@resinwright.example>"
    assert mail.get_content().strip() == "Wir kämen am Dienstag: £120 für 3 m²."


def test_its_papers_go_along(server: Server, at: datetime) -> None:
    folder = server("accepts")
    with transaction.atomic():
        paper = post_attachment(
            kept=keep_file(data=b"%PDF-1.7\nquote", name="Quote 4.pdf"), about=make_job(),
            permission="jobs.view_work", at=at, by=None,
        )  # fmt: skip
    message = write(attachments=[paper.uid])
    send_message(message_id=message.pk, at=at)
    [mail] = taken(folder)
    [part] = list(mail.iter_attachments())
    assert part.get_filename() == "Quote 4.pdf"
    assert part.get_content() == b"%PDF-1.7\nquote"


def test_what_cannot_be_written_is_told_at_once(server: Server, at: datetime) -> None:
    folder = server("accepts")
    message = write(attachments=[uuid4()])
    assert send_message(message_id=message.pk, at=at) is False
    assert state(message) == "failed"
    assert "DoesNotExist" in message.last_error
    assert taken(folder) == []


def test_a_mailbox_that_is_not_there_is_not_asked_again(server: Server, at: datetime) -> None:
    # RFC 5321, 4.2.1: a 5yz answer is for good.
    server("refuses")
    message = write()
    send_message(message_id=message.pk, at=at)
    assert state(message) == "failed"
    assert "No such mailbox" in message.last_error


@pytest.mark.parametrize("mode", ["later", "data"])
def test_a_refusal_for_now_is_tried_again(mode: str, server: Server, at: datetime) -> None:
    # RFC 5321, 4.2.1: a 4yz answer invites another try, of a customer's mail too.
    folder = server(mode)
    message = write()
    send_message(message_id=message.pk, at=at)
    assert state(message) == "due"
    assert message.due_at == at + 2 * MINUTE
    assert send_message(message_id=message.pk, at=at + MINUTE) is False  # not due yet
    server("accepts")
    assert sweep_messages(at=at + 2 * MINUTE) == 1
    assert state(message) == "sent"
    assert len(taken(folder)) == 1


def test_a_server_that_is_down_is_tried_ever_later_and_then_a_person_is_asked(
    server: Server, at: datetime
) -> None:
    server("accepts")
    server.stop()  # type: ignore[attr-defined]
    message = write()
    waits = []
    for _ in range(MOST_TRIES):
        before = message.due_at
        send_message(message_id=message.pk, at=before)
        message.refresh_from_db()
        waits.append((message.due_at - before) // MINUTE)
    assert waits == [2, 4, 8, 16, 32, 0]
    assert message.state == "failed"
    folder = server("accepts")
    send_again(message_id=message.pk, by=None, at=at)
    assert sweep_messages(at=at) == 1
    assert len(taken(folder)) == 1


def test_a_server_too_busy_to_greet_has_nothing_and_is_tried_again(
    server: Server, at: datetime
) -> None:
    server("mute")
    message = write("customer")
    send_message(message_id=message.pk, at=at)
    assert (state(message), message.due_at) == ("due", at + 2 * MINUTE)
    folder = server("accepts")
    assert sweep_messages(at=at + 2 * MINUTE) == 1
    assert len(taken(folder)) == 1


@pytest.mark.parametrize("mode", ["breaks", "slow"])
def test_doubt_about_a_customers_mail_is_left_to_a_person(
    mode: str, server: Server, at: datetime
) -> None:
    folder = server(mode)
    message = write("customer")
    send_message(message_id=message.pk, at=at)
    assert len(taken(folder)) == 1  # it did leave; the program cannot know
    server("accepts")
    for hour in (1, 24):
        assert sweep_messages(at=at + timedelta(hours=hour)) == 0
    assert state(message) == "sending"
    assert len(taken(folder)) == 1

    with pytest.raises(ServiceError, match="stuck for ten minutes"):
        send_again(message_id=message.pk, by=None, at=at + MINUTE)
    later = at + timedelta(minutes=11)
    send_again(message_id=message.pk, by=None, at=later)
    send_message(message_id=message.pk, at=later)
    assert state(message) == "sent"
    assert len(taken(folder)) == 2


@pytest.mark.parametrize("mode", ["breaks", "slow"])
def test_doubt_about_our_own_mail_sends_it_again_under_the_same_number(
    mode: str, server: Server, at: datetime
) -> None:
    folder = server(mode)
    message = write("staff")
    send_message(message_id=message.pk, at=at)
    server("accepts")
    assert sweep_messages(at=at + 2 * MINUTE) == 1
    first, second = taken(folder)
    assert first["Message-ID"] == second["Message-ID"]
    assert (state(message), message.tries) == ("sent", 2)


def test_a_worker_that_died_leaves_staff_mail_to_the_sweep(server: Server, at: datetime) -> None:
    folder = server("accepts")
    ours, theirs = write("staff"), write("customer")
    Message.objects.update(state="sending", claimed_at=at)
    assert sweep_messages(at=at + 9 * MINUTE) == 0
    assert sweep_messages(at=at + 11 * MINUTE) == 1
    assert (state(ours), state(theirs)) == ("sent", "sending")
    assert len(taken(folder)) == 1


def test_a_subject_brings_no_further_header(server: Server, at: datetime) -> None:
    # RFC 5322, 2.2: a header ends at the line's end; an injected one would begin a new line.
    folder = server("accepts")
    message = write(subject="Your quote\r\nBcc: thief@bad.example\n\nBody")
    send_message(message_id=message.pk, at=at)
    [mail] = taken(folder)
    assert mail["Bcc"] is None
    assert mail["Subject"] == "Your quote Bcc: thief@bad.example Body"


def test_an_address_brings_no_further_header(server: Server, at: datetime) -> None:
    folder = server("accepts")
    message = write()
    Message.objects.update(to="anna@home.example\nBcc: thief@bad.example")
    send_message(message_id=message.pk, at=at)
    assert state(message) == "failed"
    assert taken(folder) == []


def test_one_occasion_makes_one_message() -> None:
    first = write(occasion="quote:1:sent")
    second = write(occasion="quote:1:sent", subject="Something else")
    assert first == second
    assert Message.objects.get().subject == "Your drive"


def test_a_message_is_part_of_a_transaction(at: datetime) -> None:
    with pytest.raises(RuntimeError, match="in a transaction"):
        post_message(
            occasion="x", audience="staff", to="a@firm.example", subject="s", body="b", at=at
        )


def test_a_dropped_message_does_not_go_and_can_be_fetched_back(
    server: Server, at: datetime
) -> None:
    folder = server("accepts")
    message = write()
    drop_message(message_id=message.pk, by=None, at=at, reason="wrong week")
    assert sweep_messages(at=at + MINUTE) == 0
    assert taken(folder) == []
    send_again(message_id=message.pk, by=None, at=at)
    assert sweep_messages(at=at) == 1
    with pytest.raises(ServiceError, match="cannot be called back"):
        drop_message(message_id=message.pk, by=None, at=at)


def test_a_message_on_its_way_is_not_dropped(at: datetime) -> None:
    message = write()
    Message.objects.update(state="sending", claimed_at=at)
    with pytest.raises(ServiceError, match="being sent at this moment"):
        drop_message(message_id=message.pk, by=None, at=at + MINUTE)


def test_mail_without_a_server_is_a_whole_file(settings: Any, at: datetime) -> None:
    settings.EMAIL_BACKEND = "jobs.outbox.filemail.EmailBackend"
    message = write()
    assert send_message(message_id=message.pk, at=at) is True
    [path] = list(Path(settings.EMAIL_FILE_PATH).iterdir())
    assert path.suffix == ".eml"
    assert str(message.uid) in path.name
    mail = email.message_from_bytes(path.read_bytes(), policy=email.policy.default)
    assert mail["To"] == "anna@home.example"


def race(message: Message, claim: Callable[[], bool]) -> int:
    """Two workers claim one message at once; returns how many believe to have it."""
    barrier = threading.Barrier(2)
    wins: list[bool] = []

    def work() -> None:
        barrier.wait(5)
        wins.append(claim())
        connections.close_all()

    threads = [threading.Thread(target=work) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(20)
    return sum(wins)


@pytest.mark.postgres
def test_two_workers_send_one_message_once(server: Server, at: datetime) -> None:
    assert connection.vendor == "postgresql"
    folder = server("accepts")
    control = write()
    both_looked = threading.Barrier(2)

    def unguarded() -> bool:
        # The control differs in one thing: it looks first and writes after, without a condition.
        due = Message.objects.get(pk=control.pk).state == "due"
        both_looked.wait(5)
        Message.objects.filter(pk=control.pk).update(state="sending", tries=F("tries") + 1)
        return due

    assert race(control, unguarded) == 2
    message = write()
    assert race(message, lambda: send_message(message_id=message.pk, at=at)) == 1
    assert len(taken(folder)) == 1
