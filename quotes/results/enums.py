"""What became of a quote."""

from enum import nonmember

from django.db.models import TextChoices


class Outcome(TextChoices):
    WON = "won", "won"
    LOST = "lost", "lost"
    OPEN = "open", "not answered yet"
    LAPSED = "lapsed", "never answered"

    DECIDED = nonmember(("won", "lost"))
