"""Texts by JSON over HTTPS, in a plain format of our own.

    POST URL
    Authorization: Bearer TOKEN
    {"to": "+447700900123", "text": "…", "id": "…"}

Any 2xx means that the text was taken; `{"reference": "…"}` in the answer is kept. 429 and 503 mean
'later', every other 3xx and 4xx 'no'. Anything else, and silence, leaves it open whether the text
went, so that a person decides. A provider with another format needs a small translator before it.
"""

from __future__ import annotations

import json
import ssl
from http.client import HTTPConnection, HTTPException, HTTPSConnection
from urllib.parse import SplitResult, urlsplit

from django.conf import settings
from django.core.exceptions import ImproperlyConfigured

from jobs.outbox.rules import PermanentError, TemporaryError, UnknownOutcomeError

# RFC 6585, 4 (Too Many Requests) and RFC 9110, 15.6.4 (Service Unavailable): not now.
LATER = frozenset({429, 503})
LONGEST_ANSWER = 4096
LOOPBACK = frozenset({"127.0.0.1", "localhost", "::1"})


def address() -> SplitResult:
    """Return where texts go; ImproperlyConfigured where texts and token would travel open."""
    url = urlsplit(settings.TEXT_GATEWAY_URL)
    safe = url.scheme == "https" or (url.scheme == "http" and url.hostname in LOOPBACK)
    if not safe or not url.hostname:
        raise ImproperlyConfigured(
            "RESINWRIGHT_TEXT_GATEWAY_URL must be an https:// address (http:// only on this "
            "machine)."
        )
    return url


class Gateway:
    """Posts one text a connection, so that a failure tells of that text alone."""

    def send(self, to: str, text: str, message_id: str) -> str:
        """Post the text; see the module for what the answers mean."""
        url = address()
        connection = _connection(url)
        try:
            try:
                connection.connect()
            except OSError as error:
                raise TemporaryError(f"No connection to the gateway: {error}") from error
            return _post(connection, url, {"to": to, "text": text, "id": message_id})
        finally:
            connection.close()


def _connection(url: SplitResult) -> HTTPConnection:
    host, seconds = str(url.hostname), settings.TEXT_GATEWAY_TIMEOUT
    if url.scheme == "https":
        context = ssl.create_default_context()
        return HTTPSConnection(host, url.port, timeout=seconds, context=context)
    return HTTPConnection(host, url.port, timeout=seconds)


def _post(connection: HTTPConnection, url: SplitResult, values: dict[str, str]) -> str:
    headers = {"Content-Type": "application/json", "Accept": "application/json"}
    if settings.TEXT_GATEWAY_TOKEN:
        headers["Authorization"] = f"Bearer {settings.TEXT_GATEWAY_TOKEN}"
    path = (url.path or "/") + (f"?{url.query}" if url.query else "")
    try:
        connection.request("POST", path, json.dumps(values).encode(), headers)
        answer = connection.getresponse()
        status, content = answer.status, answer.read(LONGEST_ANSWER)
    except (OSError, HTTPException) as error:
        words = f"The gateway did not answer: {type(error).__name__} {error}".strip()
        raise UnknownOutcomeError(words) from error
    return _reference(status, content)


def _reference(status: int, content: bytes) -> str:
    if 200 <= status < 300:
        try:
            found = json.loads(content)
        except ValueError:
            return ""
        return str(found.get("reference") or "")[:120] if isinstance(found, dict) else ""
    words = f"The gateway answered {status}: {content.decode('utf-8', 'replace')[:200]}"
    if status in LATER:
        raise TemporaryError(words)
    if 300 <= status < 500:
        raise PermanentError(words)
    raise UnknownOutcomeError(words)
