"""What the pages of one revision share."""

from __future__ import annotations

from typing import Any

from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.kernel.templatetags import firm
from quotes.pricebook.enums import Unit
from quotes.pricebook.rules import margin_in
from quotes.quoting import forms, queries
from quotes.quoting.enums import LineKind
from quotes.quoting.models import Line, Revision
from quotes.quoting.rules import READY_PLANS

SEE = ("jobs.write_quote", "jobs.send_quote", "jobs.see_margin")
WRITE = "jobs.write_quote"
SEND = "jobs.send_quote"
MARGIN = "jobs.see_margin"


class OfRevision:
    """Pages about one revision."""

    kwargs: dict[str, Any]
    found: Any
    request: Any
    found_name = "revision"

    def find(self) -> Revision:
        rows = Revision.objects.with_job().select_related("survey")
        found: Revision = get_object_or_404(rows, pk=self.kwargs["pk"])
        return found

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())

    def get_success_url(self) -> str:
        return str(self.found.get_absolute_url())

    @property
    def sees_margin(self) -> bool:
        """Whether cost, overhead and margin may be told."""
        return bool(self.request.user.has_perm(MARGIN))


UNIT_LABELS = {unit.value: str(unit.label) for unit in Unit}
NOTES = {
    LineKind.OPTION: "option, not in the sum",
    LineKind.PROVISIONAL: "provisional sum",
    LineKind.DAYWORK: "provisional quantity",
}


def notes_of(line: Line) -> str:
    """Return what stands small behind a line's words."""
    found = [NOTES.get(LineKind(line.kind), ""), "" if line.fixed is None else "fixed price"]
    return " · ".join(filter(None, found))


def written_quantity(line: Line) -> str:
    """Return a line's quantity with its unit; '' for one of no quantity, as a discount."""
    if line.kind in LineKind.OWN:
        return ""
    return firm.quantity(line.quantity, UNIT_LABELS[line.unit])


def draft_forms(revision: Revision, *, sees_margin: bool) -> dict[str, Any]:
    """Return the forms that stand under the sums of a draft."""
    return {
        "terms_form": forms.TermsForm(
            initial=forms.terms_initial(revision), see_margin=sees_margin
        ),
        "plan_form": forms.PlanForm(initial=forms.plan_initial(revision)),
        "ready_plans": READY_PLANS,
        "ready_url": reverse("quoting:ready_plan", args=[revision.pk]),
    }


def money_context(revision: Revision, *, sees_margin: bool) -> dict[str, Any]:
    """Return what the sums show; nothing of cost is in it without `sees_margin`."""
    lines = revision.reckoned_lines or list(revision.lines.all())
    area = sum(line.quantity for line in lines if line.kind == LineKind.SURFACE)
    # Written here, not in the template: it is drawn again at each change of the terms.
    url = reverse("quoting:change_line", args=[revision.pk, 0]).rpartition("0/")[0]
    shown = [
        {
            "line": line, "quantity": written_quantity(line), "net": firm.money(line.net),
            "own": line.kind in LineKind.OWN, "notes": notes_of(line), "url": f"{url}{line.pk}/",
            "direct": firm.money(line.direct) if sees_margin else None,
        }
        for line in lines
    ]  # fmt: skip
    days = queries.days_of(revision, lines)
    context: dict[str, Any] = {
        "lines": shown, "sees_margin": sees_margin, "gaps": queries.gaps_of(lines), "area": area,
        "days": days, "per_m2": revision.net / area if area else None,
        "stages": queries.stages_on_page(revision),
        "consumer": revision.quote.job.customer.is_consumer,
    }  # fmt: skip
    if sees_margin:
        margin = revision.net - revision.floor
        context["inside"] = {
            "direct": revision.direct, "overhead": revision.overhead, "floor": revision.floor,
            "margin": margin, "share": margin_in(revision.net, revision.floor),
            "below": margin < 0,
            "hours": sum(line.labour_hours for line in lines if line.kind != LineKind.OPTION),
        }  # fmt: skip
    return context
