"""States of a quote's revision and kinds of lines."""

from enum import nonmember

from django.db.models import TextChoices


class RevisionState(TextChoices):
    DRAFT = "draft", "draft"
    SENT = "sent", "sent"
    ACCEPTED = "accepted", "accepted"
    DECLINED = "declined", "declined"
    REPLACED = "replaced", "replaced by a newer one"

    FROZEN = nonmember(("sent", "accepted", "declined", "replaced"))


class LineKind(TextChoices):
    SURFACE = "surface", "surfacing"
    WORK = "work", "work"
    FREE = "free", "own line"
    OPTION = "option", "option"
    PROVISIONAL = "provisional", "provisional sum"


class VatCode(TextChoices):
    STANDARD = "standard", "standard rate"
    REDUCED = "reduced", "reduced rate"
    ZERO = "zero", "zero rate"
    REVERSE = "reverse", "reverse charge"
