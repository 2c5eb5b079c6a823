"""States of orders, of goods-in lines, and of reminders."""

from enum import nonmember

from django.db.models import TextChoices


class OrderState(TextChoices):
    DRAFT = "draft", "draft"
    PLACED = "placed", "placed"
    CONFIRMED = "confirmed", "confirmed"
    RECEIVED = "received", "received"
    CANCELLED = "cancelled", "cancelled"

    OPEN = nonmember(("placed", "confirmed"))


class Outcome(TextChoices):
    GOOD = "good", "good"
    HELD = "held", "held"
    REFUSED = "refused", "refused"
    SHORT = "short", "short"
    OVER = "over", "over"


class Wrap(TextChoices):
    WHOLE = "whole", "whole and dry"
    TORN = "torn", "torn"
    WET = "wet", "wet"
    BROKEN = "broken", "pallet broken or packs crushed"

    BAD = nonmember(("torn", "wet", "broken"))


class ReminderKind(TextChoices):
    DIGEST = "digest", "morning digest"
    NEW = "new", "new since the digest"
    LAST_CALL = "last_call", "last call"


class ReminderState(TextChoices):
    DUE = "due", "due"
    SENT = "sent", "handed to the outbox"
    DROPPED = "dropped", "no longer needed"
