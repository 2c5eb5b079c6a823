"""Sends hostile requests and judges the answers."""

from __future__ import annotations

import json
import logging
import random
import traceback
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import urlencode

from django.test import Client
from django.test.client import BOUNDARY, MULTIPART_CONTENT, encode_multipart

from tests.role_rows import ROLES
from tests.soak import nonsense
from tests.soak.nonsense import SCRIPT, Fields
from tests.soak.report import Report
from tests.soak.webworld import World

SHOWN = 600
# These end a session or change a person; the world is mended after them.
UNSETTLING = ("account_", "accounts:")


@dataclass(frozen=True)
class Probe:
    """One request: who sends what to which address."""

    name: str
    role: str
    method: str
    path: str
    body: bytes = b""
    content_type: str = ""
    headers: dict[str, str] = field(default_factory=dict)

    def __str__(self) -> str:
        body = self.body[:SHOWN].decode("utf-8", "backslashreplace")
        lines = [f"{self.method} {self.path[:SHOWN]} as {self.role} ({self.name})"]
        lines += [f"{key}: {value[:80]}" for key, value in self.headers.items()]
        return "\n".join([*lines, f"{self.content_type}: {body}" if body else ""]).rstrip()


class Overheard(logging.Handler):
    """Keeps what Django logs as an error while it answers requests."""

    def __init__(self) -> None:
        super().__init__(logging.ERROR)
        self.lines: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        text = record.getMessage()
        if record.exc_info:
            text += "\n" + "".join(traceback.format_exception(*record.exc_info))
        self.lines.append(text)


@contextmanager
def overhearing() -> Iterator[Overheard]:
    """Listen to django.request; what Django says of refused requests is not printed."""
    log, handler = logging.getLogger("django.request"), Overheard()
    quiet = [log, logging.getLogger("django.security")]
    before = [(each, each.propagate) for each in quiet]
    # Without a handler of its own a logger would fall back to standard error.
    handlers = (handler, logging.NullHandler())
    for each, own in zip(quiet, handlers, strict=True):
        each.addHandler(own)
        each.propagate = False
    try:
        yield handler
    finally:
        for (each, propagate), own in zip(before, handlers, strict=True):
            each.removeHandler(own)
            each.propagate = propagate


# -- what is sent ----------------------------------------------------------------------------


def rewound(fields: Fields) -> Fields:
    """Return a form whose files stand at their beginning again."""
    for values in fields.values():
        for value in values:
            if hasattr(value, "seek"):
                value.seek(0)
    return fields


def body_of(fields: Fields, draw: random.Random) -> tuple[bytes, str]:
    """Return a body and its content type: mostly what a browser would send, then all kinds."""
    rewound(fields)
    chance = draw.random()
    if chance < 0.6:
        return encode_multipart(BOUNDARY, fields), MULTIPART_CONTENT
    if chance < 0.85:
        text = urlencode(fields, doseq=True)
        if draw.random() < 0.3:
            text += "&" + draw.choice(nonsense.RAW) + "=" + draw.choice(nonsense.RAW)
        return text.encode(), "application/x-www-form-urlencoded"
    if chance < 0.9:
        texts = {key: [str(value) for value in values] for key, values in fields.items()}
        odd: Any = draw.choice((texts, [texts], "\ud800", None, 1e308, {"uid": ["\ud800"] * 3}))
        return json.dumps(odd).encode(), "application/json"
    whole = encode_multipart(BOUNDARY, fields)
    if chance < 0.95:
        return whole[: draw.randrange(len(whole) + 1)], MULTIPART_CONTENT
    return whole, draw.choice(nonsense.BODY_TYPES)


def make_probe(world: World, name: str, method: str, draw: random.Random) -> Probe:
    """Return a request to an address by somebody, spoilt in up to three ways."""
    role = "owner" if draw.random() < 0.6 else draw.choice(ROLES)
    path, fields = world.place(name, draw)
    if draw.random() < 0.06:
        parts = path.split("/")
        parts[draw.randrange(len(parts))] = nonsense.broken_segment(draw)
        path = "/" + "/".join(parts).lstrip("/")
    headers = dict(draw.choice(nonsense.HEADERS)) if draw.random() < 0.25 else {}
    if method == "GET":
        if "?" not in path:
            path += nonsense.query(world.filters.get(name, []), draw)
        return Probe(name, role, method, path, headers=headers)
    for _ in range(draw.choice((0, 1, 1, 2, 3))):
        nonsense.spoil(fields, draw)
    body, content_type = body_of(fields, draw)
    return Probe(name, role, method, path, body, content_type, headers)


def targets(world: World, draw: random.Random) -> Iterator[tuple[str, str]]:
    """Yield address and method for ever: round by round each address is read and sent to."""
    while True:
        one_round = [(name, method) for name in world.names for method in ("GET", "POST")]
        others = [name for name in world.names if draw.random() < 0.2]
        one_round += [(name, draw.choice(nonsense.METHODS)) for name in others]
        draw.shuffle(one_round)
        yield from (each for each in one_round if each not in world.closed)


# -- what comes back -------------------------------------------------------------------------


def content_of(response: Any) -> bytes:
    """Return the whole body; a stream is read to its end, as a browser would."""
    if response.streaming:
        return b"".join(response.streaming_content)
    return bytes(response.content)


def send(client: Client, probe: Probe) -> tuple[int, str, bytes]:
    """Send a request; return status, content type and body."""
    response: Any = client.generic(
        probe.method, probe.path, probe.body, probe.content_type, headers=probe.headers
    )
    return response.status_code, response.get("Content-Type", ""), content_of(response)


def judge(world: World, probe: Probe, report: Report, heard: Overheard) -> None:
    """Send a request and note what came of it; what Django logged is taken from `heard`."""
    heard.lines.clear()
    world.sent.add((probe.name, probe.method))
    try:
        status, kind, body = send(world.clients[probe.role], probe)
    except Exception:  # noqa: BLE001 - exactly this is what the run looks for
        report.count("raised")
        report.failures.append(f"{probe}\n{traceback.format_exc()}")
        return
    report.count(f"answers {status}")
    if status >= 500 or heard.lines:
        report.failures.append(f"{probe}\nanswered {status}\n" + "\n".join(heard.lines))
    if kind.startswith("text/html"):
        page = body.decode("utf-8", "replace")
        if SCRIPT in page:
            report.failures.append(f"{probe}\nshows a script back unescaped")
        if status == 200:
            world.learn(probe.name, probe.path, page)
    if status == 405 and "HX-Request" not in probe.headers:
        world.closed.add((probe.name, probe.method))


def hunt(world: World, draw: random.Random, going_on: Callable[[int], bool]) -> Report:
    """Send requests while `going_on(how many were sent)`; return what came of them."""
    report, sent = Report(), 0
    with overhearing() as heard:
        for name, method in targets(world, draw):
            if not going_on(sent):
                break
            judge(world, make_probe(world, name, method, draw), report, heard)
            if name.startswith(UNSETTLING):
                world.log_in_again()
            report.count(f"sent as {method}" if method in {"GET", "POST"} else "sent otherwise")
            sent += 1
    return report
