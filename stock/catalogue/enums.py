"""What the yard keeps, and where."""

from enum import nonmember

from django.db.models import TextChoices


class ItemKind(TextChoices):
    KIT = "kit", "resin kit"
    STONE = "stone", "stone"
    FILLER = "filler", "filler"
    PRIMER = "primer", "primer"
    EDGING = "edging", "edging"
    SUNDRY = "sundry", "sundry"

    IN_LOTS = nonmember(("kit", "stone", "filler", "primer"))


class BaseUnit(TextChoices):
    """The unit in which an item's stock is counted in whole numbers."""

    PIECE = "piece", "piece"
    GRAM = "g", "g"
    MILLILITRE = "ml", "ml"
    MILLIMETRE = "mm", "mm"


# The unit that people cost a base unit in, and how many of the one make the other.
COSTED_AS = {
    BaseUnit.PIECE: ("piece", 1),
    BaseUnit.GRAM: ("kg", 1000),
    BaseUnit.MILLILITRE: ("l", 1000),
    BaseUnit.MILLIMETRE: ("m", 1000),
}


class PlaceKind(TextChoices):
    BAY = "bay", "bay"
    VAN = "van", "van"
    SITE = "site", "site"
    LAID = "laid", "laid"
    SUPPLIER = "supplier", "supplier"
    WASTE = "waste", "waste"
    ADJUSTMENT = "adjustment", "adjustment"

    GUARDED = nonmember(("bay", "van", "site"))


class Season(TextChoices):
    ALL = "all", "all year"
    SUMMER = "summer", "summer grade"
    WINTER = "winter", "winter grade"
