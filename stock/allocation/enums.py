"""Which phase of a job wants a thing, and where a proposal is."""

from django.db.models import TextChoices


class NeededFor(TextChoices):
    PREPARE = "prepare", "prepare"
    LAY = "lay", "lay"


class ProposalMethod(TextChoices):
    """How a proposal was reckoned; the better one sorts first."""

    EXACT = "exact", "all together, the best"
    GREEDY = "greedy", "job by job, at once"


class ProposalState(TextChoices):
    """Where a proposal is."""

    DUE = "due", "waiting for a worker"
    WORKING = "working", "being reckoned"
    READY = "ready", "ready"
    FAILED = "failed", "could not be reckoned"
