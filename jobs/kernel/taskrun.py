"""Notes when regular work ran and what it did, so that a page can say so."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager

from jobs.kernel.clock import now
from jobs.kernel.models import TaskRun

KEEP = 200


@contextmanager
def recorded(name: str) -> Iterator[Callable[[str], None]]:
    """Record a run of the work `name`; the caller says its outcome in words.

    A failure is recorded too and raised again. Only the latest runs are kept.
    """
    run = TaskRun.objects.create(name=name, started_at=now())

    def say(outcome: str) -> None:
        run.outcome = outcome[:300]

    try:
        yield say
    except Exception as error:
        run.failed = True
        run.outcome = f"{type(error).__name__}: {error}"[:300]
        raise
    finally:
        run.finished_at = now()
        run.save(update_fields=["finished_at", "outcome", "failed"])
        old = TaskRun.objects.filter(name=name).order_by("-started_at").values("pk")[KEEP:]
        TaskRun.objects.filter(pk__in=list(old.values_list("pk", flat=True))).delete()
