"""States of a quote's revision and kinds of lines."""

from enum import nonmember

from django.db.models import TextChoices


class RevisionState(TextChoices):
    DRAFT = "draft", "draft"
    SENT = "sent", "sent"
    ACCEPTED = "accepted", "accepted"
    DECLINED = "declined", "declined"
    REPLACED = "replaced", "replaced by a newer one"

    FROZEN = nonmember(("sent", "accepted", "declined", "replaced"))


class LineKind(TextChoices):
    SURFACE = "surface", "surfacing"
    WORK = "work", "work"
    FREE = "free", "own line"
    OPTION = "option", "option"
    PROVISIONAL = "provisional", "provisional sum"
    TRAVEL = "travel", "travel"
    HIRE = "hire", "hire"
    DAYWORK = "daywork", "day-work"
    MUCK = "muck", "ground carted away"
    SMALL = "small", "small job"
    MINIMUM = "minimum", "made up to the least price of a job"
    DISCOUNT = "discount", "discount"

    # Reckoned from what was asked for, at the figures of the day.
    ASKED = nonmember(("travel", "hire", "daywork", "muck", "small"))
    # Their price stands in the book, not in the cost.
    PRICED_BY_BOOK = nonmember(("daywork", "small"))
    # Kept by the reckoning itself, last in the quote.
    OWN = nonmember(("minimum", "discount"))
    # Settled by what it really comes to.
    SETTLED_LATER = nonmember(("provisional", "daywork"))


class VatCode(TextChoices):
    STANDARD = "standard", "standard rate"
    REDUCED = "reduced", "reduced rate"
    ZERO = "zero", "zero rate"
    REVERSE = "reverse", "reverse charge"
