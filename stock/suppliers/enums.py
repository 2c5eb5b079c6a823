"""Ways to order."""

from django.db.models import TextChoices


class ChannelKind(TextChoices):
    ONLINE = "online", "online"
    TELEPHONE = "telephone", "telephone"
    COUNTER = "counter", "counter"


class SupplierCalendar(TextChoices):
    WORKS = "works", "they do not work"
    DELIVERS = "delivers", "they do not deliver"
