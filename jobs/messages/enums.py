"""What a customer is written to about."""

from enum import nonmember

from django.db.models import TextChoices


class Kind(TextChoices):
    """The kinds of message about a job."""

    DATES = "dates", "your dates"
    CHANGED = "changed", "changed dates"
    CAR = "car", "move the car"
    RAIN = "rain", "moved for rain"
    KEEP_OFF = "keep_off", "keep off"
    FREE = "free", "free words"

    # Those that say a day from the calendar: none goes once that day has changed.
    DATED = nonmember(("dates", "changed", "car", "rain"))
    # Those by which a customer is told when we come: from then on the day is locked.
    TELLING = nonmember(("dates", "changed", "rain"))
    # What the work itself needs; anything else waits for a customer who wants no more than that.
    NEEDED = nonmember(("dates", "changed", "car", "rain", "keep_off"))
