"""A forecast as the form of the day sends it, and the address's query for it."""

from __future__ import annotations

from collections.abc import Sequence
from urllib.parse import urlencode

Line = tuple[str, ...]  # time, air, surface, humidity, rain: '' for nothing typed

# A dry spring day after rain in the night, wet again the next evening.
SPRING: tuple[Line, ...] = (
    ("06:00", "8", "8", "80", "0"),
    ("10:00", "13", "15", "60", "0"),
    ("14:00", "17", "20", "50", "0"),
    ("18:00", "14", "15", "60", "0"),
    ("22:00", "11", "10.5", "70", "0"),
    ("06:00", "9", "9", "75", "0"),
    ("12:00", "14", "15", "65", "0"),
    ("18:00", "12", "12", "80", "3"),
    ("22:00", "11", "11", "90", "1"),
)


def query(lines: Sequence[Line], **changed: str) -> str:
    """Return the query of a day; `changed` are values of the day's own form."""
    day = {
        "day": "2026-05-19", "placing": "15", "dry_before": "48", "base_dry": "24",
        "humidity_limit": "85",
    }  # fmt: skip
    values = {f"dayform-{key}": value for key, value in (day | changed).items()}
    values |= {"dayform-ask": "1", "hours-ask": "1", "hours-INITIAL_FORMS": "0"}
    values["hours-TOTAL_FORMS"] = str(len(lines))
    for number, line in enumerate(lines):
        for name, value in zip(("at", "air", "surface", "humidity", "rain"), line, strict=True):
            values[f"hours-{number}-{name}"] = value
    return urlencode(values)
