"""Units that work is measured in."""

from django.db.models import TextChoices


class Unit(TextChoices):
    SQUARE_METRE = "m2", "m²"
    METRE = "m", "m"
    CUBIC_METRE = "m3", "m³"
    TONNE = "t", "t"
    EACH = "each", "each"
    DAY = "day", "day"
    HOUR = "h", "h"


class Measure(TextChoices):
    """Which measured figure of the survey a work item takes, so that nobody types it twice."""

    AREA = "area", "area of the surface"
    EDGE = "edge", "open edge with edging"
    NONE = "none", "typed in"


class BookKind(TextChoices):
    """What the price book keeps beside work items, each with its figures from a day on."""

    PLANT = "plant", "plant for hire"
    GROUND = "ground", "ground to cart away"
    SMALL = "small", "small jobs"
