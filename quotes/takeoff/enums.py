"""What is asked beside a survey."""

from django.db.models import TextChoices


class Nation(TextChoices):
    """Each nation has its own rule for planning permission."""

    UNKNOWN = "unknown", "not asked yet"
    ENGLAND = "england", "England"
    WALES = "wales", "Wales"
    SCOTLAND = "scotland", "Scotland"
    NORTHERN_IRELAND = "northern_ireland", "Northern Ireland"
