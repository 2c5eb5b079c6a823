"""How what people type of a customer is tidied and compared; no rows."""

from __future__ import annotations

import re

# Fields that tell of a person: events name that they changed, never what they said.
PERSONAL = frozenset({"name", "email", "phone", "address", "postcode", "vat_number", "notes"})
EDITABLE = (
    "kind", "name", "email", "phone", "address", "postcode", "vat_number", "reports_under_cis",
    "end_user_confirmed", "wants_order_number", "texts_agreed", "only_needed", "terms_days",
    "notes",
)  # fmt: skip
CONTACT_FIELDS = ("name", "role", "email", "phone")
WITHHELD = "(personal)"
# GB numbers: nine digits, or twelve for a branch (HMRC VAT Notice 700/63, memory).
VAT_NUMBER = re.compile(r"GB(\d{9}|\d{12})\Z")
SIGNIFICANT_DIGITS = 9


def tidy_line(text: str) -> str:
    """Return the text with single spaces and none at its ends."""
    return " ".join(text.split())


def tidy_lines(text: str) -> str:
    """Return the text's lines tidied, blank ones left out at the ends."""
    return "\n".join(tidy_line(line) for line in text.strip().splitlines())


def tidy_postcode(text: str) -> str:
    """Return a postcode in capitals with its one space before the last three characters."""
    bare = "".join(text.upper().split())
    fits = re.fullmatch(r"[A-Z]{1,2}\d[A-Z\d]?\d[A-Z]{2}", bare)
    return f"{bare[:-3]} {bare[-3:]}" if fits else tidy_line(text).upper()


def tidy_vat_number(text: str) -> str:
    """Return a VAT number as GB and digits; ValueError with a sentence for anything else."""
    bare = re.sub(r"[\s.-]", "", text).upper()
    if not bare:
        return ""
    found = bare if bare.startswith("GB") else f"GB{bare}"
    if not VAT_NUMBER.match(found):
        raise ValueError(f"'{text}' is not a VAT number; write GB and nine digits.")
    return found


def last_digits(phone: str) -> str:
    """Return the digits by which two ways of writing a telephone number are compared."""
    return re.sub(r"\D", "", phone)[-SIGNIFICANT_DIGITS:]


def same_words(one: str, other: str) -> bool:
    """Return whether two lines are the same but for capitals, commas and spaces."""

    def bare(text: str) -> str:
        return re.sub(r"[^a-z0-9]", "", text.lower())

    return bool(bare(one)) and bare(one) == bare(other)


def without_personal(values: dict[str, object]) -> dict[str, object]:
    """Return values for an event: what tells of a person is named but not kept."""
    return {name: WITHHELD if name in PERSONAL else value for name, value in values.items()}
