"""States of a message on its way out, and the ways it can go."""

from django.db.models import TextChoices


class Audience(TextChoices):
    """Whom a message is for: it decides what happens when sending is in doubt."""

    STAFF = "staff", "our own people"
    CUSTOMER = "customer", "a customer"
    SUPPLIER = "supplier", "a supplier"


class Channel(TextChoices):
    """How a message goes: by the mail server, or by a text gateway where one is set."""

    MAIL = "mail", "e-mail"
    TEXT = "text", "text message"


class MessageState(TextChoices):
    DUE = "due", "waiting"
    SENDING = "sending", "being sent"
    SENT = "sent", "sent"
    FAILED = "failed", "not sent"
    DROPPED = "dropped", "kept back"
