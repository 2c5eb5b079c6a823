"""What is asked of a site, and what an open answer means; no rows."""

from __future__ import annotations

from collections.abc import Mapping

PERSONAL = frozenset({"name", "address", "postcode", "notes"})
QUESTIONS = ("wagon_access", "tail_lift", "parking_elsewhere", "water", "power", "dry_store")
EDITABLE = ("name", "address", "postcode", *QUESTIONS, "notes")
# Common practice, no source: what the crew or the wagon meets where the answer is no.
WHEN_NO = {
    "wagon_access": "A wagon cannot reach it: small loads, and time to carry.",
    "tail_lift": "No room for a tail-lift: bags come off by hand.",
    "parking_elsewhere": "Cars cannot stand elsewhere for 24 h: the surface cannot be kept clear.",
    "water": "No water on site: bring it.",
    "power": "No power on site: bring a generator.",
    "dry_store": "No dry place for bags and kits: bring only the day's.",
}
SHORT_NAME = 60


def name_of(address: str) -> str:
    """Return what a site is called where nobody named it: the first line of its address."""
    lines = [line.strip() for line in address.strip().splitlines() if line.strip()]
    first = lines[0].split(",")[0] if lines else ""
    return first[:SHORT_NAME]


def notes_on(answers: Mapping[str, str]) -> list[str]:
    """Return what the crew must know: a sentence for each 'no', in the order of the questions."""
    return [WHEN_NO[name] for name in QUESTIONS if answers.get(name) == "no"]
