"""Which phase of a job wants a thing."""

from django.db.models import TextChoices


class NeededFor(TextChoices):
    PREPARE = "prepare", "prepare"
    LAY = "lay", "lay"
