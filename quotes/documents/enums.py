"""States of a PDF being drawn."""

from django.db.models import TextChoices


class RenderState(TextChoices):
    DUE = "due", "to be drawn"
    RENDERING = "rendering", "being drawn"
    READY = "ready", "ready"
    FAILED = "failed", "could not be drawn"
