"""Papers that go with waste, and what is done with a lot that was scanned."""

from django.db.models import TextChoices


class NoteKind(TextChoices):
    TRANSFER = "transfer", "transfer note"
    CONSIGNMENT = "consignment", "consignment note (hazardous)"


class Part(TextChoices):
    A = "A", "part A"
    B = "B", "part B"


class Flow(TextChoices):
    """What the bench does with a code, and the page that does it."""

    OPEN = "open", "Open"
    MOVE = "move", "Move"
    WASTE = "waste", "Waste"
    COUNT = "count", "Count the place"
    ISSUE = "issue", "Issue to the job"
    RETURN = "return", "Bring back from the job"
