"""Reading parsed JSON: mappings with known keys, lists, names, numbers and flags.

Every function takes the value and its place in the document and raises DocumentError with that
place. True and false are never numbers.
"""

import math
from collections.abc import Collection, Iterable, Mapping, Sequence

from quotes.engine.errors import DocumentError
from quotes.engine.units import shown

MAX_NAME = 120


def at(where: str, key: str) -> str:
    """The place of a key below a place."""
    return f"{where}.{key}" if where else key


def mapping(
    value: object, where: str, required: Collection[str], optional: Collection[str] = ()
) -> Mapping[str, object]:
    """A mapping that has every required key and no unknown one."""
    if not isinstance(value, Mapping):
        raise DocumentError(
            "bad_type",
            where or "document",
            f"{shown(value)} is not an object; expected one with the keys {', '.join(required)}",
        )
    for key in value:
        if key not in required and key not in optional:
            known = ", ".join([*required, *optional])
            raise DocumentError(
                "unknown_key",
                at(where, shown(key).strip("'")),
                f"{shown(key)} is not known here; accepted are {known}",
            )
    for key in required:
        if key not in value:
            raise DocumentError(
                "missing_key", at(where, key), f"'{key}' is missing; it must be given here"
            )
    return value


def sequence(value: object, where: str, *, least: int, most: int, of: str) -> Sequence[object]:
    """A list with at least `least` and at most `most` entries."""
    if isinstance(value, str | bytes) or not isinstance(value, Sequence):
        raise DocumentError("bad_type", where, f"{shown(value)} is not a list; expected {of}")
    if not least <= len(value) <= most:
        raise DocumentError(
            "bad_count",
            where,
            f"there are {len(value)} entries; expected {of}, {least} to {most} of them",
        )
    return value


def number(
    value: object, where: str, *, above: float | None = None, least: float, most: float
) -> float:
    """A plain number between two bounds; with `above`, also more than that."""
    wanted = (
        f"more than {above:g} and at most {most:g}"
        if above is not None
        else f"{least:g} to {most:g}"
    )
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise DocumentError(
            "bad_type", where, f"{shown(value)} is not a number; expected a plain number, {wanted}"
        )
    if isinstance(value, int) and abs(value) > 10**15:
        raise DocumentError("out_of_range", where, f"the number is too large; accepted is {wanted}")
    found = float(value)
    if (
        not math.isfinite(found)
        or not least <= found <= most
        or (above is not None and found <= above)
    ):
        raise DocumentError(
            "out_of_range", where, f"{found:g} is out of range; accepted is {wanted}"
        )
    return found


def flag(value: object, where: str) -> bool:
    """true or false."""
    if not isinstance(value, bool):
        raise DocumentError("bad_type", where, f"{shown(value)} is neither true nor false")
    return value


def name(value: object, where: str) -> str:
    """A name: printable, not blank, at most 120 characters."""
    if not isinstance(value, str):
        raise DocumentError("bad_type", where, f"{shown(value)} is not a text; expected a name")
    text = value.strip()
    if not text or len(text) > MAX_NAME or not text.isprintable():
        raise DocumentError(
            "bad_name",
            where,
            f"{shown(value)} is no name; expected 1 to {MAX_NAME} printable characters",
        )
    return text


def choice(value: object, where: str, choices: Iterable[str]) -> str:
    """One of a few words."""
    known = tuple(choices)
    if not isinstance(value, str) or value not in known:
        raise DocumentError(
            "bad_choice", where, f"{shown(value)} is not known; use one of {', '.join(known)}"
        )
    return value
