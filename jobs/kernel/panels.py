"""Short names for the registries that pages use; see `registries`."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest
from django.template.loader import render_to_string
from django.utils.safestring import SafeString

from jobs.kernel.registries import TodayEntry, panel, panels_for, today_entry

__all__ = ["TodayEntry", "drawn_panels", "panel", "panels_for", "today_entry"]


def drawn_panels(request: HttpRequest, page: str, subject: Any) -> list[SafeString]:
    """Return the panels of a page that this user may see, drawn, in their order."""
    return [
        render_to_string(found["template"], found["context"], request=request)
        for found in panels_for(request, page, subject)
    ]
