"""What happens on a lay day."""

from django.db.models import TextChoices


class MixState(TextChoices):
    LAID = "laid", "laid"
    SPILT = "spilt", "spilt"
    VOID = "void", "logged by mistake"
