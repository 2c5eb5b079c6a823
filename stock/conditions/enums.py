"""Where readings come from, which side of a limit, why a lot is held, and what then is to do."""

from __future__ import annotations

from django.db.models import TextChoices


class Source(TextChoices):
    TYPED = "typed", "typed"
    FILE = "file", "logger's file"
    SENSOR = "sensor", "sensor"


class Side(TextChoices):
    HIGH = "high", "above"
    LOW = "low", "below"


class FileState(TextChoices):
    LOOKED_AT = "looked_at", "looked at"
    TAKEN = "taken", "taken"
    DROPPED = "dropped", "dropped"


class Outcome(TextChoices):
    RELEASED = "released", "release what it held"
    KEPT = "kept", "keep it held, to be wasted or sent back"


class HoldCause(TextChoices):
    DAMP_BAG = "damp_bag", "damp bag"
    MOIST_HARDENER = "moist_hardener", "hardener cloudy or crusted by moisture"
    COLD_HARDENER = "cold_hardener", "hardener set solid or crystalline by cold"
    TORN_WRAP = "torn_wrap", "torn wrap or pack"
    HOT = "hot", "left in the heat"
    OTHER = "other", "something else"

    @property
    def advice(self) -> str:
        """What is to do with it; the safety data sheet and the maker always have the last word."""
        return ADVICE[self]

    @classmethod
    def of(cls, reason: str) -> HoldCause | None:
        """Return the cause that a held lot's reason names; None where it names none of these."""
        for cause in cls:
            if reason == cause.label or reason.startswith(f"{cause.label}: "):
                return cause
        return None


# Common practice, no source: what a store does first. What a product stands is said by its maker.
ADVICE = {
    HoldCause.DAMP_BAG: (
        "Held until dried and checked: dry through, no lumps, the same colour as its run. Damp "
        "stone makes resin foam and turn milky. Follow the safety data sheet."
    ),
    HoldCause.MOIST_HARDENER: (
        "Scrap: it cannot be mended. Keep water away; do not shut the tin tight, since gas may "
        "build up in it. Follow the safety data sheet."
    ),
    HoldCause.COLD_HARDENER: (
        "Held until the maker's data sheet was read: only where it says so may it be warmed, and "
        "then as it says, never by a flame. Else scrap. Follow the safety data sheet."
    ),
    HoldCause.TORN_WRAP: (
        "Held until every pack was looked at: damp ones apart, leaking ones as spills. Follow the "
        "safety data sheet."
    ),
    HoldCause.HOT: (
        "Held until the maker was asked; working time may be short or the pack under pressure. "
        "Open nothing hot. Follow the safety data sheet."
    ),
    HoldCause.OTHER: "Held until somebody with the right has looked. Follow the safety data sheet.",
}
