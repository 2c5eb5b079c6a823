"""States of lots and kinds of postings."""

from django.db.models import TextChoices


class LotStatus(TextChoices):
    RELEASED = "released", "ready"
    HELD = "held", "held"


class PostingKind(TextChoices):
    RECEIVE = "receive", "goods in"
    ISSUE = "issue", "issued to site"
    RETURN = "return", "back from site"
    LAY = "lay", "laid"
    WASTE = "waste", "waste"
    TRANSFER = "transfer", "moved"
    COUNT = "count", "count"
