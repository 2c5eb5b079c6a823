"""States of a variation and kinds of its lines."""

from enum import nonmember

from django.db.models import TextChoices


class VariationState(TextChoices):
    DRAFT = "draft", "draft"
    SENT = "sent", "sent"
    ACCEPTED = "accepted", "accepted"
    DECLINED = "declined", "declined"
    REPLACED = "replaced", "replaced by a newer one"
    WITHDRAWN = "withdrawn", "withdrawn"

    # What still takes from the quote's lines, or may.
    STANDING = nonmember(("draft", "sent", "accepted"))


class ChangeKind(TextChoices):
    LESS = "less", "less of the quote"
    MORE = "more", "more of the quote"
    WORK = "work", "work from the price book"
    FREE = "free", "own line"

    OF_QUOTE = nonmember(("less", "more"))
