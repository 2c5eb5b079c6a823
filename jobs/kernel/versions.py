"""Two people on one page: the second save is refused until that person has seen the first."""

from __future__ import annotations

from typing import Any, TypeVar

from django.db.models import Model

from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import assert_in_transaction

Row = TypeVar("Row", bound=Model)


class StaleError(ServiceError):
    """Somebody else saved the row since the page was opened."""

    def __init__(self) -> None:
        super().__init__(
            "Somebody else saved this page while you had it open. What changed is shown above; "
            "what you typed is still here. Save again to put yours in its place.",
            code="stale",
        )


def lock_version(model: type[Row], pk: int, version: int) -> Row:
    """Lock the row and return it as it is now; raise StaleError if it is not at `version`."""
    assert_in_transaction()
    manager: Any = model.objects  # type: ignore[attr-defined]
    row = manager.select_for_update(no_key=True).get(pk=pk)
    if row.version != version:
        raise StaleError
    return row  # type: ignore[no-any-return]
