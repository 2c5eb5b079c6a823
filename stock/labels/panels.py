"""A lot's labels, from its page."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest

from jobs.kernel.panels import panel


@panel("lot", 6, "jobs.move_stock")
def lot_labels(request: HttpRequest, lot: Any) -> tuple[str, dict[str, Any]]:
    """Where to print a lot's labels: no query."""
    return "stock/labels/lot_panel.html", {"lot": lot}
