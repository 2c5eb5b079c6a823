"""Text messages: how long they are, which numbers take them, what a gateway may answer; no rows.

Lengths and alphabet: 3GPP TS 23.038 (the default alphabet of 7 bits and its extension) and
TS 23.040 (the header of 6 octets of a message in parts). Numbers: Ofcom's National Telephone
Numbering Plan; E.164. All from memory.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Protocol

GSM_7 = "GSM-7"
UCS_2 = "UCS-2"
# One of these takes 7 bits; the code's order is that of the standard's table.
BASIC = frozenset(
    "@£$¥èéùìòÇ\nØø\rÅåΔ_ΦΓΛΩΠΨΣΘΞÆæßÉ !\"#¤%&'()*+,-./0123456789:;<=>?"
    "¡ABCDEFGHIJKLMNOPQRSTUVWXYZÄÖÑÜ§¿abcdefghijklmnopqrstuvwxyzäöñüà"
)
# Each of these is written with an escape before it, so that it takes two.
EXTENDED = frozenset("\f^{}\\[~]|€")
# What fits into a message that goes alone, and into each part of one that goes in parts.
ALONE = {GSM_7: 160, UCS_2: 70}
IN_PARTS = {GSM_7: 153, UCS_2: 67}
# A text message of more parts is a letter: common practice, no source.
MOST_SEGMENTS = 5
# Typed by a word processor, and dearer than what a key gives for the same.
PLAIN = str.maketrans(
    {
        "\N{NO-BREAK SPACE}": " ",
        "\N{EN DASH}": "-",
        "\N{EM DASH}": "-",
        "\N{MINUS SIGN}": "-",
        "\N{LEFT SINGLE QUOTATION MARK}": "'",
        "\N{RIGHT SINGLE QUOTATION MARK}": "'",
        "\N{LEFT DOUBLE QUOTATION MARK}": '"',
        "\N{RIGHT DOUBLE QUOTATION MARK}": '"',
        "\N{HORIZONTAL ELLIPSIS}": "...",
    }
)


@dataclass(frozen=True)
class Length:
    """How long a text is on the air: its alphabet, its units in that alphabet, its segments."""

    alphabet: str
    units: int
    segments: int
    # Characters that make the whole text go in the longer alphabet.
    dear: str = ""

    @property
    def words(self) -> str:
        """The length as a person reads it."""
        several = "1 segment" if self.segments == 1 else f"{self.segments} segments"
        return f"{self.units} characters in {self.alphabet}, {several}"


def plain_text(text: str) -> str:
    """Return a text with the typographer's marks as keys give them, and line ends as one."""
    return text.translate(PLAIN).replace("\r\n", "\n").replace("\r", "\n").strip()


def length_of(text: str) -> Length:
    """Return how a text is cut into segments; an empty one has none.

    In parts, neither an escaped character nor a pair of UTF-16 units is cut in two.
    """
    dear = "".join(dict.fromkeys(char for char in text if char not in BASIC | EXTENDED))
    alphabet = UCS_2 if dear else GSM_7
    if dear:
        sizes = [len(char.encode("utf-16-be")) // 2 for char in text]
    else:
        sizes = [2 if char in EXTENDED else 1 for char in text]
    units = sum(sizes)
    if units <= ALONE[alphabet]:
        return Length(alphabet, units, min(units, 1), dear)
    return Length(alphabet, units, _parts(sizes, IN_PARTS[alphabet]), dear)


def _parts(sizes: Iterable[int], room: int) -> int:
    parts, used = 1, 0
    for size in sizes:
        if used + size > room:
            parts, used = parts + 1, 0
        used += size
    return parts


# 071 to 075 and 077 to 079 are mobile; 070 is personal, 076 paging but for 07624, Isle of Man.
UK_MOBILE = re.compile(r"(?:7[1-57-9]\d{8}|7624\d{6})\Z")


def uk_mobile(phone: str) -> str:
    """Return a UK mobile number as E.164 ('+447700900123'); '' for any other number."""
    bare = re.sub(r"[\s().\-\u2010-\u2014]", "", phone.replace("(0)", ""))
    for start in ("+44", "0044", "44", "0"):
        if bare.startswith(start):
            national = bare.removeprefix(start).removeprefix("0" if start != "0" else "")
            return f"+44{national}" if UK_MOBILE.fullmatch(national) else ""
    return ""


# -- what every gateway of ours promises -------------------------------------------------------


class TemporaryError(Exception):
    """The gateway has certainly not taken the text; it may later."""


class PermanentError(Exception):
    """The gateway has certainly not taken the text and never will."""


class UnknownOutcomeError(Exception):
    """The gateway may have taken the text: the line broke, or its answer says nothing."""


class TextGateway(Protocol):
    """An adapter to whatever sends text messages; a module names its class `Gateway`."""

    def send(self, to: str, text: str, message_id: str) -> str:
        """Hand over one text for an E.164 number; returns the gateway's reference, or ''.

        `message_id` stays the same for the same message, so that a gateway may refuse a repeat.
        Raises TemporaryError, PermanentError, or UnknownOutcomeError; an OSError counts as
        the last of these.
        """
        ...
