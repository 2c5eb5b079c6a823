"""States of a message on its way out."""

from django.db.models import TextChoices


class Audience(TextChoices):
    """Whom a message is for: it decides what happens when sending is in doubt."""

    STAFF = "staff", "our own people"
    CUSTOMER = "customer", "a customer"
    SUPPLIER = "supplier", "a supplier"


class MessageState(TextChoices):
    DUE = "due", "to be sent"
    SENDING = "sending", "being sent"
    SENT = "sent", "sent"
    FAILED = "failed", "not sent"
    DROPPED = "dropped", "withdrawn"
