"""Texts through a real HTTP server: taken, refused, later, or nobody knows, and then not again."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.core.checks import run_checks
from django.db import transaction

from jobs.outbox.models import Message
from jobs.outbox.panels import messages_in_doubt
from jobs.outbox.services import (
    post_blanked,
    post_message,
    send_again,
    send_message,
    sweep_messages,
)
from tests.factories import AT, make_job, numbers
from tests.jobs.outbox.gateway import Taken, gateway_server

pytestmark = pytest.mark.django_db
MINUTE = timedelta(minutes=1)


def write(**more: Any) -> Message:
    values: dict[str, Any] = {
        "occasion": f"test:{next(numbers)}", "audience": "customer", "channel": "text",
        "to": "+447700900123", "subject": "move the car", "body": "Please move the car: £5.",
        "at": AT,
    }  # fmt: skip
    with transaction.atomic():
        return post_message(**values | more)


def state(message: Message) -> str:
    message.refresh_from_db()
    return message.state


@pytest.fixture
def gateway(settings: Any) -> Iterator[Taken]:
    with gateway_server() as taken:
        settings.TEXT_GATEWAY = "jobs.outbox.textgateways.http"
        settings.TEXT_GATEWAY_URL = f"http://127.0.0.1:{taken.port}/texts?firm=7"
        settings.TEXT_GATEWAY_TOKEN = "a-token"
        settings.TEXT_GATEWAY_TIMEOUT = 1
        yield taken


def test_a_text_arrives_as_written_and_only_once(gateway: Taken, at: datetime) -> None:
    message = write()
    assert send_message(message_id=message.pk, at=at) is True
    assert send_message(message_id=message.pk, at=at) is False
    assert gateway.texts == [
        {"to": "+447700900123", "text": "Please move the car: £5.", "id": str(message.uid),
         "path": "/texts?firm=7"}
    ]  # fmt: skip
    assert gateway.tokens == ["Bearer a-token"]
    assert (state(message), message.reference) == ("sent", "T-1")


def test_an_answer_without_a_reference_is_enough(gateway: Taken, at: datetime) -> None:
    gateway.mode = "words"
    message = write()
    send_message(message_id=message.pk, at=at)
    assert (state(message), message.reference) == ("sent", "")


@pytest.mark.parametrize("mode", ["400", "401", "422", "302"])
def test_a_refusal_is_told_at_once_and_goes_again_by_hand(
    mode: str, gateway: Taken, at: datetime
) -> None:
    gateway.mode = mode
    message = write()
    send_message(message_id=message.pk, at=at)
    assert state(message) == "failed"
    assert mode in message.last_error
    assert [text["path"] for text in gateway.texts] == ["/texts?firm=7"]  # no other address
    gateway.mode = "202"
    send_again(message_id=message.pk, by=None, at=at)
    assert sweep_messages(at=at) == 1
    assert state(message) == "sent"


@pytest.mark.parametrize("mode", ["429", "503"])
def test_later_is_later(mode: str, gateway: Taken, at: datetime) -> None:
    # RFC 6585, 4 and RFC 9110, 15.6.4: not now, and nothing was done.
    gateway.mode = mode
    message = write()
    send_message(message_id=message.pk, at=at)
    assert (state(message), message.due_at) == ("due", at + 2 * MINUTE)
    gateway.mode = "202"
    assert sweep_messages(at=at + 2 * MINUTE) == 1


def test_a_gateway_that_is_down_is_tried_again(gateway: Taken, settings: Any, at: datetime) -> None:
    with gateway_server() as other:
        port = other.port
    settings.TEXT_GATEWAY_URL = f"http://127.0.0.1:{port}/"
    message = write()
    send_message(message_id=message.pk, at=at)
    assert state(message) == "due"
    assert "No connection" in message.last_error


@pytest.mark.parametrize("mode", ["breaks", "slow", "500", "502"])
@pytest.mark.parametrize("audience", ["customer", "staff"])
def test_doubt_about_a_text_is_left_to_a_person(
    mode: str, audience: str, gateway: Taken, at: datetime
) -> None:
    gateway.mode = mode
    message = write(audience=audience)
    send_message(message_id=message.pk, at=at)
    gateway.mode = "202"
    later = at + timedelta(hours=1)
    assert sweep_messages(at=later) == 0
    assert (state(message), len(gateway.texts)) == ("sending", 1)
    [entry] = messages_in_doubt(None, later)
    assert "perhaps not sent" in entry.title
    send_again(message_id=message.pk, by=None, at=later)
    send_message(message_id=message.pk, at=later)
    # A person decided; the number is the same, so that a gateway may still know it.
    assert gateway.texts[0]["id"] == gateway.texts[1]["id"]
    assert state(message) == "sent"


def test_texts_are_off_unless_a_gateway_is_named(settings: Any, at: datetime) -> None:
    assert settings.TEXT_GATEWAY == ""
    message = write()
    send_message(message_id=message.pk, at=at)
    assert state(message) == "failed"
    assert "The text gateway is off" in message.last_error


def test_texts_without_a_gateway_yet_are_whole_files(
    settings: Any, tmp_path: Path, at: datetime
) -> None:
    settings.TEXT_GATEWAY, settings.TEXT_FILE_PATH = "file", str(tmp_path / "texts")
    message = write()
    assert send_message(message_id=message.pk, at=at) is True
    [path] = list((tmp_path / "texts").iterdir())
    assert json.loads(path.read_text(encoding="utf-8")) == {
        "to": "+447700900123", "text": "Please move the car: £5.", "id": str(message.uid),
    }  # fmt: skip
    assert state(message) == "sent"
    assert message.reference == path.name


@pytest.mark.parametrize(
    ("name", "url", "words"),
    [
        ("http", "http://gateway.example/texts", "https://"),
        ("http", "", "https://"),
        ("carrier.pigeon", "", "carrier"),
        ("http", "https://gateway.example/texts", ""),
        ("file", "", ""),
        ("", "", ""),
    ],
)
def test_a_gateway_that_cannot_work_stops_the_start(
    name: str, url: str, words: str, settings: Any
) -> None:
    settings.TEXT_GATEWAY, settings.TEXT_GATEWAY_URL = name, url
    found = [one.msg for one in run_checks() if one.id == "resinwright.E010"]
    assert len(found) == bool(words)
    assert not words or words in found[0]


def test_erasing_blanks_words_and_address_and_keeps_back_what_waits(at: datetime) -> None:
    job = make_job()
    sent, waits = write(about=job), write(about=job, channel="mail", to="anna@home.example")
    other = write(about=make_job())
    ours = write(about=job, audience="staff", channel="mail", to="bea@firm.example")
    Message.objects.filter(pk=sent.pk).update(state="sent", sent_at=at, last_error="to anna@…")
    with transaction.atomic():
        assert post_blanked(about_type="jobs.job", about_ids=[job.pk]) == 3
    assert (state(sent), sent.to, sent.body, sent.last_error) == ("sent", "", "", "")
    assert sent.sent_at == at
    assert (state(waits), waits.to) == ("dropped", "")
    assert (state(other), other.to) == ("due", "+447700900123")
    assert (state(ours), ours.to, ours.body) == ("dropped", "bea@firm.example", "")
