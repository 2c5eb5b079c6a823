"""Half-days, resources and phases."""

from django.db.models import TextChoices


class Half(TextChoices):
    MORNING = "am", "morning"
    AFTERNOON = "pm", "afternoon"


class ResourceKind(TextChoices):
    CREW = "crew", "crew"
    PERSON = "person", "person"
    VEHICLE = "vehicle", "vehicle"
    MIXER = "mixer", "mixer"


# How the kinds are headed where several of each stand together.
SEVERAL = {
    ResourceKind.CREW: "crews",
    ResourceKind.PERSON: "people",
    ResourceKind.VEHICLE: "vehicles",
    ResourceKind.MIXER: "mixers",
}


class Phase(TextChoices):
    """The parts of a job that are booked; edging goes with prepare."""

    PREPARE = "prepare", "prepare"
    LAY = "lay", "lay"
    FINISH = "finish", "finish"
    SNAG = "snag", "snag"


class Level(TextChoices):
    STOP = "stop", "stop"
    LOOK = "look", "look"
    NOTE = "note", "note"


class ClosedFor(TextChoices):
    """Which of our calendars a closed day belongs to."""

    FIRM = "firm", "we do not work"
    YARD = "yard", "the yard cannot receive"
