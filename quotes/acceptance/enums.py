"""How a quote was answered."""

from django.db.models import TextChoices


class AnsweredBy(TextChoices):
    LINK = "link", "by the link"
    PAPER = "paper", "on paper"
