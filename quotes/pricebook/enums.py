"""Units that work is measured in."""

from django.db.models import TextChoices


class Unit(TextChoices):
    SQUARE_METRE = "m2", "m²"
    METRE = "m", "m"
    CUBIC_METRE = "m3", "m³"
    TONNE = "t", "t"
    EACH = "each", "each"
    DAY = "day", "day"


class Measure(TextChoices):
    """Which measured figure of the survey a work item takes, so that nobody types it twice."""

    AREA = "area", "area of the surface"
    EDGE = "edge", "open edge with edging"
    NONE = "none", "typed in"
