"""What somebody could send who means ill, or whose phone has gone mad: values, forms, queries."""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from typing import Any
from urllib.parse import quote_from_bytes

# Shown back unescaped, this would run in somebody's browser; `sent` looks for it in every page.
SCRIPT = "<script>rw()</script>"
LONG = "kerb " * 20_000
NUMBERS = (
    "0", "-1", "1", "2147483648", "9223372036854775808", "-9223372036854775809", "9" * 40, "1e308",
    "-0.001", "0.005", "12345678901234567890.12", "NaN", "Infinity", "-inf", "1,5", "１２", "0x1f",
    "1_000", "50000", "+7", "٣",
)  # fmt: skip
DAYS = (
    "0001-01-01", "9999-12-31", "2026-02-30", "2026-13-01", "10000-01-01", "31/12/9999",
    "0000-00-00", "2026-03-29", "9999-12-31T23:59", "0001-01-01T00:00", "2026-03-29T01:30",
    "2026-10-25T01:30", "2026-05-14T25:00", "-2026-05-14", "today", "2026-W20",
)  # fmt: skip
TEXTS = (
    "", " ", "\x00", "a\x00b", "\u202etxt.exe", "\u0301" * 50, "👷\U0001f3fd\u200d♀️🧱", "\ufeff",
    "Ω≈ç√", "\r\nX-Own: 1", "%s%n{0}{{7*7}}{% now 'Y' %}", "' OR 1=1 --", "\\",
    "../../../etc/passwd", "=1+1", "None", "null", "on", "[]", "{}", "true", f"'\">{SCRIPT}", LONG,
    "x" * 300, "not-a-uuid", "00000000-0000-0000-0000-000000000000", "3.2 m", "-3 m", "1e400 m",
    "12 ft 6 in", "a@b", "a@" + "b" * 300 + ".example",
)  # fmt: skip
VALUES = (*NUMBERS, *DAYS, *TEXTS)
# Bytes that are no UTF-8, and escapes that are none: they go into addresses and bodies as they are.
RAW = ("%FF%FE", "%00", "%C0%AF", "%ED%A0%80", "%", "%zz", "%F0%9F%98%80", "+", "%E2%80%AE")
PARAMETERS = (
    "q",
    "sort",
    "page",
    "export",
    "per_page",
    "next",
    "at",
    "on",
    "from",
    "to",
    "version",
)
ORDERS = (
    "-",
    "--name",
    "pk",
    "-pk",
    "password",
    "nothing",
    "name,,",
    "customer__user__password",
    "?",
)
HEADERS: tuple[dict[str, str], ...] = (
    {"HX-Request": "true"},
    {"HX-Request": "true", "HX-Target": "rows", "HX-Current-URL": "http://testserver/%ff?q=\x01"},
    {"HX-Request": "true", "HX-Boosted": "true", "HX-Prompt": "x" * 4000},
    {"HX-Request": "true", "HX-Current-URL-URI-AutoEncoded": "true", "HX-Current-URL": "%E0%A4%A"},
    {"HX-Request": "maybe", "HX-Trigger": "\u00ff", "HX-Trigger-Name": "'"},
    {"Accept": "application/json"},
    {"Accept": "*/*;q=nonsense,,;"},
    {"Accept-Language": "xx-" + "y" * 600},
    {"If-Modified-Since": "yesterday", "If-None-Match": '"'},
    {"Range": "bytes=9-1,-0,a-b"},
    {"Referer": "http://[", "Origin": "null"},
    {"X-Forwarded-For": "nobody, ' OR 1=1", "X-Forwarded-Proto": "gopher"},
    {"Host": "else.where:99999"},
    {"User-Agent": "\u00e9" * 3000},
)
BODY_TYPES = (
    "application/json", "text/plain", "application/xml", "multipart/form-data",
    "multipart/form-data; boundary=", "multipart/form-data; boundary=" + "b" * 300,
    "application/x-www-form-urlencoded; charset=utf-16",
    "application/x-www-form-urlencoded; charset=no-such", "",
)  # fmt: skip
METHODS = ("HEAD", "PUT", "PATCH", "DELETE", "OPTIONS", "TRACE", "BREW")

Fields = dict[str, list[Any]]


def as_lists(data: Mapping[str, Any]) -> Fields:
    """Return a form's values with a list for each name, as a browser sends them."""
    return {
        name: list(value) if isinstance(value, list | tuple) else [value]
        for name, value in data.items()
        if value is not None
    }


def spoil(fields: Fields, draw: random.Random) -> None:
    """Make one thing wrong in a form: a value, a name too many, one too few, one twice."""
    name = draw.choice(sorted(fields)) if fields else ""
    kind = draw.randrange(10)
    if not name or kind == 0:
        fields[draw.choice((*PARAMETERS, "id", "form-TOTAL_FORMS", "x" * 200))] = [
            draw.choice(VALUES)
        ]
    elif kind == 1:
        del fields[name]
    elif kind == 2:
        fields[name] = [*fields[name], draw.choice(VALUES)]
    elif kind == 3:
        fields[name] = fields[name] * draw.choice((2, 60))
    else:
        group = draw.choice((NUMBERS, DAYS, TEXTS, VALUES))
        fields[name] = [draw.choice(group)]


def escaped(value: Any, draw: random.Random) -> str:
    """Return a value for an address, now and then with bytes that are no text."""
    text = quote_from_bytes(str(value).encode("utf-8"), safe="")
    return text + draw.choice(RAW) if draw.random() < 0.15 else text


def query(names: Sequence[str], draw: random.Random) -> str:
    """Return what stands behind the question mark: a list's parameters, mostly nonsense."""
    if draw.random() < 0.3:
        return ""
    pairs = []
    for _ in range(draw.randrange(1, 5)):
        name = draw.choice((*PARAMETERS[:5], *names)) if names else draw.choice(PARAMETERS)
        pool: Sequence[str] = VALUES
        if name == "sort":
            pool = (*ORDERS, *names, "name", "-reference")
        elif name == "export":
            pool = ("csv", "xlsx", "pdf", "CSV", "")
        elif name == "page":
            pool = (*NUMBERS, "last")
        pairs.append(f"{escaped(name, draw)}={escaped(short(draw.choice(pool)), draw)}")
    return "?" + draw.choice(("&", "&&", "&")).join(pairs)


def short(value: str) -> str:
    """Return a value cut to what fits in an address."""
    return value[:2000]


def broken_segment(draw: random.Random) -> str:
    """Return a part of a path that names nothing."""
    return draw.choice(
        ("0", "999999999", "9" * 30, "-1", "%00", "%FF", "1%00", "..", "x" * 3000, "%E2%80%AE",
         "1.0", "00000000-0000-4000-8000-000000000000", "won", "none", "%2e%2e%2f", "rectangle")
    )  # fmt: skip
