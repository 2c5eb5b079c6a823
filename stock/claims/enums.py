"""Against whom a claim is, how they were told, what they answered, and how it stands."""

from django.db.models import TextChoices


class Against(TextChoices):
    CARRIER = "carrier", "the carrier"
    SUPPLIER = "supplier", "the supplier"


class ToldBy(TextChoices):
    EMAIL = "email", "e-mail"
    TELEPHONE = "telephone", "telephone"
    LETTER = "letter", "letter"
    FORM = "form", "their claim form"
    NOTE = "note", "on the delivery note, signed"


class Answer(TextChoices):
    ACCEPTED = "accepted", "accepted"
    PARTLY = "partly", "accepted in part"
    REFUSED = "refused", "refused"


class ClaimState(TextChoices):
    OPEN = "open", "they must be told"
    NOTIFIED = "notified", "waits for an answer"
    ANSWERED = "answered", "waits for the credit"
    CLOSED = "closed", "closed"
