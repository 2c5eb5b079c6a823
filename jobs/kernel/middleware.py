"""What every request goes through: one clock, and ids that the database could hold."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.db.models import BigAutoField
from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone

from jobs.kernel import clock


class FirmClockMiddleware:
    """Activate Europe/London and set `request.now`, so that a page never disagrees with itself."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        request.now = clock.now()  # type: ignore[attr-defined]
        with timezone.override(clock.LONDON):
            return self.get_response(request)


class PossibleIdsMiddleware:
    """Answer 404 to an address with an id that no row can have.

    A lookup over a foreign key would hand such a number to the database, which refuses it.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(
        self, _request: HttpRequest, _view: Any, args: tuple[Any, ...], kwargs: dict[str, Any]
    ) -> None:
        """Raise Http404 before the view is called."""
        for value in (*args, *kwargs.values()):
            if isinstance(value, int) and value > BigAutoField.MAX_BIGINT:
                raise Http404("No row has such an id.")
