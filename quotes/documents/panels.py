"""The PDF's pages, on the page of a quote."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest
from django.urls import reverse

from jobs.kernel.panels import panel
from quotes.documents.queries import newest_ready
from quotes.quoting.models import Revision


@panel(page="quote", order=30, permission="jobs.see_billing")
def paper(request: HttpRequest, revision: Revision) -> tuple[str, dict[str, Any]]:
    """Return how many pages the PDF has, and the way to look at them."""
    del request
    row = newest_ready(revision)
    return "quotes/documents/panel.html", {
        "pages": row.pages if row else None,
        "undrawn": bool(row and row.pictures_error),
        "pages_url": reverse("documents:pages", args=[revision.pk]),
    }
