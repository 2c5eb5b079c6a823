"""What a survey records."""

from django.db.models import TextChoices


class SurveyKind(TextChoices):
    SURVEY = "survey", "survey"
    CHECK = "check", "check-measure"


class BaseKind(TextChoices):
    TARMAC = "tarmac", "tarmac"
    CONCRETE = "concrete", "concrete"
    OPEN_TARMAC = "open_tarmac", "open-graded tarmac"
    GRID = "grid", "filled grid"
    OTHER = "other", "other"


class Condition(TextChoices):
    SOUND = "sound", "sound"
    REPAIR = "repair", "sound after repair"
    REPLACE = "replace", "to be replaced"
    UNKNOWN = "unknown", "not judged yet"


class Use(TextChoices):
    """What passes over an area; the engine's words."""

    PEDESTRIAN = "pedestrian", "people on foot"
    VEHICLES = "vehicles", "cars and vans"
    HEAVY = "heavy", "heavy vehicles"


class ShapeKind(TextChoices):
    """How an area was taped; the engine's words."""

    RECTANGLE = "rectangle", "rectangle"
    TRIANGLE = "triangle", "triangle by three sides"
    TRAPEZIUM = "trapezium", "trapezium"
    CIRCLE = "circle", "circle"
    SECTOR = "sector", "sector"
    RING = "ring", "ring"
    OUTLINE = "outline", "outline by corners"
    OFFSETS = "offsets", "offsets from a base line"
    SIDES = "sides_and_diagonals", "sides and diagonals"
