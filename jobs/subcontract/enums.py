"""How a subcontractor was verified."""

from __future__ import annotations

from django.db.models import TextChoices


class VerifiedBy(TextChoices):
    ONLINE = "online", "online"
    PHONE = "phone", "by telephone"
    SOFTWARE = "software", "by payroll software"
