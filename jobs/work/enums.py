"""The trade's stages of a job."""

from enum import nonmember

from django.db.models import TextChoices


class Stage(TextChoices):
    """Where a job stands; it moves by what happens, never by picking from a list."""

    ENQUIRY = "enquiry", "enquiry"
    SURVEYED = "surveyed", "surveyed"
    QUOTED = "quoted", "quoted"
    WON = "won", "won"
    BOOKED = "booked", "booked"
    ON_SITE = "on_site", "on site"
    SNAGGING = "snagging", "snagging"
    COMPLETE = "complete", "complete"
    IN_GUARANTEE = "in_guarantee", "in guarantee"
    LOST = "lost", "lost"
    CANCELLED = "cancelled", "cancelled"

    OPEN = nonmember(("enquiry", "surveyed", "quoted", "won", "booked", "on_site", "snagging"))
    AFTER_WON = nonmember(("won", "booked", "on_site", "snagging", "complete", "in_guarantee"))


class LostReason(TextChoices):
    PRICE = "price", "price"
    OTHER_FIRM = "other_firm", "went to another firm"
    TIMING = "timing", "we could not come in time"
    OTHER_SURFACE = "other_surface", "chose another surface"
    PUT_OFF = "put_off", "put off"
    NO_ANSWER = "no_answer", "no answer"
    OTHER = "other", "other"
