"""States of a reorder suggestion."""

from django.db.models import TextChoices


class SuggestionState(TextChoices):
    OPEN = "open", "to be ordered"
    DRAFTED = "drafted", "in a draft order"
    DROPPED = "dropped", "set aside"
    NO_WAY = "no_way", "cannot be met"
