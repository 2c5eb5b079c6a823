"""By what lots belong together when one of them is looked into."""

from django.db.models import TextChoices


class Share(TextChoices):
    LOT = "lot", "lot"
    RUN = "run", "production run"
    BATCH_A = "a", "batch of part A"
    BATCH_B = "b", "batch of part B"


# The field of a lot that lots of one share have in common; a lot shares with its own parts.
SHARED_FIELD: dict[str, str] = {
    Share.RUN: "run",
    Share.BATCH_A: "batch_a",
    Share.BATCH_B: "batch_b",
}
