"""What a customer says when he signs a variation."""

from __future__ import annotations

from quotes.acceptance.rules import Consent
from quotes.variations.rules.sheet import VariationSheet


def consents_for(sheet: VariationSheet) -> tuple[Consent, ...]:
    """Return what is asked: the change itself, and of a consumer whether to begin early."""
    found = [
        Consent(
            "terms",
            f"I accept {sheet.label} with its price and its effect on the date; the terms of the "
            "quote go on for it.",
        )
    ]
    if sheet.consumer:
        found.append(
            Consent(
                "begin_early",
                "I ask you to begin this change within the 14 days in which I may cancel it. If I "
                "then cancel, I pay for what was done; once it is finished, the right to cancel "
                "it ends.",
                needed=False,
            )
        )
    return tuple(found)
