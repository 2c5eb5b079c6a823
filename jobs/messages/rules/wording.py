"""Words with placeholders; no rows.

Which placeholders a kind knows is fixed; a wording with any other is refused when it is saved.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from jobs.kernel.errors import ServiceError
from jobs.messages.enums import Kind
from jobs.outbox.enums import Channel

PLACEHOLDER = re.compile(r"\{([a-z_]+)\}")
UNKNOWN = "(not known yet)"
EVERYWHERE = {
    "firm": "our firm's name",
    "customer": "the customer's name",
    "job": "what the job is called",
    "reference": "the job's reference",
    "site": "the address of the work",
}
DAYS = {
    "days": "each day that is booked, with its phase and half-days",
    "first_day": "the first of them",
}
OLD = {"old_days": "the days that no longer hold"}
PLACEHOLDERS: dict[str, dict[str, str]] = {
    Kind.DATES: EVERYWHERE | DAYS,
    Kind.CHANGED: EVERYWHERE | DAYS | OLD,
    Kind.CAR: EVERYWHERE
    | {
        "car_from": "the day from which no car may stand there",
        "car_until": "the day on which it may come back at the earliest",
        "parking": "what the site's record says of standing elsewhere",
    },
    Kind.RAIN: EVERYWHERE | DAYS | OLD,
    Kind.KEEP_OFF: EVERYWHERE
    | {
        "laid_on": "the day of laying",
        "foot": "hours until it may be walked on",
        "vehicles": "hours until it may be driven on",
    },
    Kind.FREE: EVERYWHERE,
}
# Without these a message of the kind would not say what it is there to say.
MUST_SAY: dict[str, tuple[str, ...]] = {
    Kind.DATES: ("days",), Kind.CHANGED: ("days",), Kind.RAIN: ("days",),
    Kind.CAR: ("car_from", "car_until"), Kind.KEEP_OFF: ("foot", "vehicles"),
}  # fmt: skip


@dataclass(frozen=True)
class Words:
    """A head and a text, filled or not; a text message has no head of its own."""

    subject: str
    body: str


DEFAULTS: dict[tuple[str, str], Words] = {
    (Kind.DATES, Channel.MAIL): Words(
        "{job}: the days on which we come",
        "Dear {customer},\n\nThe work at {site} is in our calendar:\n\n{days}\n\n"
        "If one of these days does not suit you, tell us soon. Rain can move a day of laying; then "
        "we write to you again.\n\n{firm}\n",
    ),
    (Kind.DATES, Channel.TEXT): Words(
        "", "{firm}: we come to {site}: {days}. If a day does not suit you, tell us soon."
    ),
    (Kind.CHANGED, Channel.MAIL): Words(
        "{job}: other days than we said",
        "Dear {customer},\n\nThe days that we gave you for {site} have changed. In place of "
        "{old_days} we come:\n\n{days}\n\nIf one of these days does not suit you, tell us soon.\n\n"
        "{firm}\n",
    ),
    (Kind.CHANGED, Channel.TEXT): Words(
        "", "{firm}: other days for {site}. In place of {old_days} we come: {days}."
    ),
    (Kind.CAR, Channel.MAIL): Words(
        "{job}: room without cars from {car_from}",
        "Dear {customer},\n\nPlease let no car stand where we work at {site} from the morning of "
        "{car_from}. It may come back on {car_until} at the earliest, and not before the time that "
        "the crew leaves you in writing.\n\n{parking}\n\n{firm}\n",
    ),
    (Kind.CAR, Channel.TEXT): Words(
        "",
        "{firm}: please no car at {site} from the morning of {car_from} until {car_until}, and not "
        "before the time the crew leaves you in writing.",
    ),
    (Kind.RAIN, Channel.MAIL): Words(
        "{job}: rain moves us",
        "Dear {customer},\n\nBase and bags have to be dry, and the surface too until it has set. "
        "Because of rain we do not lay at {site} on {old_days}. We come instead:\n\n{days}\n\n"
        "If that does not suit you, tell us soon.\n\n{firm}\n",
    ),
    (Kind.RAIN, Channel.TEXT): Words(
        "", "{firm}: rain, so no laying at {site} on {old_days}. We come instead: {days}."
    ),
    (Kind.KEEP_OFF, Channel.MAIL): Words(
        "{job}: when the surface may be used",
        "Dear {customer},\n\nThe surface at {site}, laid on {laid_on}, has to harden:\n\n"
        "On foot: not for {foot} after the crew has finished.\n"
        "With a car, a skip or a ladder: not for {vehicles} after the crew has finished.\n\n"
        "In the cold it takes longer. See what the crew left you: where it names a later time, "
        "that time holds. Keep animals, leaves and water off it as well, and ring us if something "
        "got onto it.\n\n{firm}\n",
    ),
    (Kind.KEEP_OFF, Channel.TEXT): Words(
        "",
        "{firm}: keep off the new surface at {site}: {foot} on foot, {vehicles} with a car, "
        "counted from when the crew finished. See what the crew left you: a later time there "
        "holds.",
    ),
    (Kind.FREE, Channel.MAIL): Words("{job}", "Dear {customer},\n\n\n\n{firm}\n"),
    (Kind.FREE, Channel.TEXT): Words("", "{firm}: "),
}


def check_wording(text: str, kind: str, *, field: str) -> None:
    """Refuse a text with a placeholder that its kind does not know, or with a brace alone."""
    known = PLACEHOLDERS[kind]
    found = PLACEHOLDER.findall(text)
    strange = [f"{{{name}}}" for name in dict.fromkeys(found) if name not in known]
    if strange:
        raise ServiceError(
            f"{' and '.join(strange)} cannot be filled in here. There are: "
            f"{', '.join(f'{{{name}}}' for name in known)}.",
            field=field,
        )
    if set(PLACEHOLDER.sub("", text)) & {"{", "}"}:
        raise ServiceError(
            "A brace stands alone. Write a placeholder like {site}, or leave the brace away.",
            field=field,
        )


def check_says_it(body: str, kind: str) -> None:
    """Refuse a wording that leaves out what its kind is there to say."""
    found = set(PLACEHOLDER.findall(body))
    missing = [f"{{{name}}}" for name in MUST_SAY.get(kind, ()) if name not in found]
    if missing:
        raise ServiceError(f"These words must say {' and '.join(missing)}.", field="body")


def fill(text: str, values: Mapping[str, str]) -> str:
    """Return a text with its placeholders filled, once: what comes in is not read again."""
    return PLACEHOLDER.sub(lambda found: values.get(found[1]) or UNKNOWN, text)


def refuse_gaps(text: str, *, field: str) -> None:
    """Refuse words in which something is still to be filled in."""
    if UNKNOWN in text or PLACEHOLDER.search(text):
        raise ServiceError(
            f"The words still have something to fill in: look for '{UNKNOWN}' or for words in "
            "braces.",
            field=field,
        )
