"""Events in words: reckoning on values, no rows."""

from __future__ import annotations

from collections.abc import Mapping

SHORT = 60


def verb_words(verb: str) -> str:
    """Return a verb as people read it: 'record receipt' for record_receipt."""
    return verb.replace("_", " ")


def change_words(before: Mapping[str, object], after: Mapping[str, object]) -> str:
    """Return what changed as 'phone 01632 960001 → 01632 960002; name …'."""
    parts = []
    for name in [*after, *(name for name in before if name not in after)]:
        old, new = (short(values.get(name)) for values in (before, after))
        words = verb_words(name)
        parts.append(f"{words} {old} → {new}" if name in before else f"{words} {new}")
    return "; ".join(parts)


def short(value: object) -> str:
    """Return a value in one short piece of text."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    text = "–" if value in (None, "") else str(value)
    return text if len(text) <= SHORT else f"{text[: SHORT - 1]}…"
