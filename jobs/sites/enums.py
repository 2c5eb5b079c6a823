"""Answers that a site visit may leave open."""

from django.db.models import TextChoices


class Answer(TextChoices):
    """Yes, no, or not yet asked; an open answer is a caution on the quote."""

    YES = "yes", "yes"
    NO = "no", "no"
    UNKNOWN = "unknown", "not asked yet"
