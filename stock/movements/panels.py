"""What can be done with a lot, on its page."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest

from jobs.kernel.panels import panel


@panel("lot", 5, "jobs.move_stock")
def lot_steps(request: HttpRequest, lot: Any) -> tuple[str, dict[str, Any]] | None:
    """Move it or book it as waste; nothing where nothing is left."""
    if not lot.on_hand and not lot.at_sites:
        return None
    return "stock/movements/lot_steps.html", {"lot": lot}
