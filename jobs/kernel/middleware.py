"""One clock for a request: London's zone, and one present instant that every part of it reads."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
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
