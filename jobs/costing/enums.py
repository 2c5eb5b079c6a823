"""Categories of cost."""

from django.db.models import TextChoices


class Category(TextChoices):
    MATERIALS = "materials", "materials"
    LABOUR = "labour", "labour"
    PLANT = "plant", "plant and hire"
    SUBCONTRACT = "subcontract", "subcontract"
    TRAVEL = "travel", "travel"
    OTHER = "other", "other"


class EntryKind(TextChoices):
    BUDGET = "budget", "budget"
    ACTUAL = "actual", "actual"


class HoursKind(TextChoices):
    WORK = "work", "working"
    STANDING = "standing", "standing"
    TRAVEL = "travel", "travelling"
