"""The lines of a quote as a file; costs only for those who may see them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.http import HttpRequest, HttpResponse

from jobs.kernel.lists import EXPORTERS, safe_cell
from jobs.kernel.views import RoomPage
from quotes.pricebook.enums import Unit
from quotes.quoting.models import Revision
from quotes.quoting.views.common import SEE, OfRevision

HEADS = ("Line", "Kind", "Quantity", "Unit", "Before VAT", "Counted")
COSTS = ("Labour, h", "Labour", "Plant", "Materials", "Other", "Direct cost")


class LinesFile(OfRevision, RoomPage):
    """`?export=csv` (the default) or `xlsx`. Options are in it and say that they do not count."""

    permission = SEE

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        wanted = request.GET.get("export", "csv")
        wanted = wanted if wanted in EXPORTERS else "csv"
        content, kind = EXPORTERS[wanted](self.rows(self.found))
        name = f"quote-{self.found.quote.reference or 'draft'}-{self.found.number}.{wanted}"
        return HttpResponse(
            content,
            content_type=kind,
            headers={"Content-Disposition": f'attachment; filename="{name}"'},
        )

    def rows(self, revision: Revision) -> Iterator[list[Any]]:
        """Yield the heads, then a row a line."""
        yield [*HEADS, *(COSTS if self.sees_margin else ())]
        for line in revision.lines.all():
            counted = "no" if line.kind == "option" else "yes"
            row: list[Any] = [
                line.words, line.get_kind_display(), line.quantity, Unit(line.unit).label,
                line.net, counted,
            ]  # fmt: skip
            if self.sees_margin:
                row += [
                    line.labour_hours, line.labour, line.plant, line.materials, line.other,
                    line.direct,
                ]  # fmt: skip
            yield [safe_cell(value) for value in row]
