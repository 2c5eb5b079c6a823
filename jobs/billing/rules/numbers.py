"""Check figures of VAT numbers and of unique taxpayer references; no rows, no look-up anywhere."""

from __future__ import annotations

import re

from jobs.kernel.errors import ServiceError

VAT_WEIGHTS = (8, 7, 6, 5, 4, 3, 2)
UTR_WEIGHTS = (6, 7, 8, 9, 10, 5, 4, 3, 2)
UTR_CHECKS = "21987654321"


def bare(text: str) -> str:
    """Return the digits of a number as people write it: without GB, spaces, points, hyphens."""
    return re.sub(r"[\s.\-]", "", text).upper().removeprefix("GB")


def is_vat_number(text: str) -> bool:
    """Return whether a GB VAT number of nine or twelve digits has a fitting check figure.

    Modulus 97, in the old way or in that of numbers from 100 000 000 on (less 55); a fitting
    figure does not say that the number was given to anybody.
    """
    digits = bare(text)
    if not re.fullmatch(r"\d{9}(\d{3})?", digits, re.ASCII):
        return False
    total = sum(w * int(d) for w, d in zip(VAT_WEIGHTS, digits[:7], strict=True))
    rest = (total + int(digits[7:9])) % 97
    return rest in ((0, 42, 55) if int(digits[:3]) >= 100 else (0,))


def is_utr(text: str) -> bool:
    """Return whether a unique taxpayer reference of ten digits has a fitting check figure."""
    digits = bare(text).removesuffix("K")
    if not re.fullmatch(r"\d{10}", digits, re.ASCII):
        return False
    total = sum(w * int(d) for w, d in zip(UTR_WEIGHTS, digits[1:], strict=True))
    return UTR_CHECKS[total % 11] == digits[0]


def check_vat_number(text: str) -> str:
    """Return a VAT number as GB and digits; ServiceError with a sentence where it cannot be."""
    if not is_vat_number(text):
        raise ServiceError(
            f"'{text}' is not a VAT number: GB and nine digits, whose last two fit the others.",
            field="vat_number",
        )
    return f"GB{bare(text)}"
