"""What the framework says of a field, in words that say what would be accepted."""

from __future__ import annotations

import re

SENTENCES = {
    "This field is required.": "Fill this in.",
    "Enter a valid date.": "Give a day like 14/05/2026.",
    "Enter a valid time.": "Give a time like 11:45.",
    "Enter a valid date/time.": "Give a day and time like 14/05/2026 11:45.",
    "Enter a whole number.": "Give a whole number like 12.",
    "Enter a number.": "Give a figure like 12.5.",
    "Enter a valid email address.": "Give an e-mail address like name@example.com.",
    "Enter a valid UUID.": "This page is out of date. Open it again.",
    "Select a valid": "Choose one of the list.",
}
# The same for sentences with a figure in them.
LIMITS = tuple(
    (re.compile(pattern), words)
    for pattern, words in (
        (r"Ensure this value is greater than or equal to (\S+)\.", r"Give \1 or more."),
        (r"Ensure this value is less than or equal to (\S+)\.", r"Give \1 or less."),
        (
            r"Ensure that there are no more than (\d+) decimal places?\.",
            r"Give no more than \1 digits after the point.",
        ),
        (
            r"Ensure that there are no more than (\d+) digits? before the decimal point\.",
            r"Give no more than \1 digits before the point.",
        ),
        (
            r"Ensure that there are no more than (\d+) digits? in total\.",
            r"Give no more than \1 digits.",
        ),
        (
            r"Ensure this value has at most (\d+) characters? \(it has (\d+)\)\.",
            r"Give at most \1 characters; these are \2.",
        ),
    )
)


def sentence_of(said: str) -> str:
    """Return a field's sentence in our words where it is one of Django's own."""
    for pattern, words in LIMITS:
        if found := pattern.fullmatch(said):
            return found.expand(words)
    return SENTENCES.get(said.split(" choice.", maxsplit=1)[0], said)
