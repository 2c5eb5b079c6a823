"""Kinds of customer, and where enquiries come from."""

from django.db.models import TextChoices


class CustomerKind(TextChoices):
    HOUSEHOLD = "household", "household"
    BUILDER = "builder", "builder"
    BUSINESS = "business", "business"
    PUBLIC = "public", "public body"


class Source(TextChoices):
    TELEPHONE = "telephone", "telephone"
    EMAIL = "email", "e-mail"
    RECOMMENDED = "recommended", "recommended by somebody"
    BOARD = "board", "site board or van"
    WEBSITE = "website", "our website"
    REPEAT = "repeat", "customer before"
    OTHER = "other", "other"
