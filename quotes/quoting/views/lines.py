"""Adding, changing, removing and moving the lines of a draft."""

from __future__ import annotations

from typing import Any

from django.http import Http404
from django.urls import reverse

from jobs.kernel.views import ServiceActionView, ServiceFormView
from quotes.pricebook.enums import Unit
from quotes.quoting import forms, services
from quotes.quoting.enums import LineKind
from quotes.quoting.models import Line, Revision
from quotes.quoting.views.common import WRITE, OfRevision


class AddLine(OfRevision, ServiceFormView):
    """A further line."""

    permission = WRITE
    form_class = forms.AddLineForm
    title = "Add a line"
    button = "Add the line"
    success_message = "Added: {made}."

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"see_margin": self.sees_margin}

    def get_initial(self) -> dict[str, Any]:
        return {"version": self.found.version, "unit": Unit.EACH, "kind": LineKind.WORK}

    def act(self, form: Any) -> Line:
        return services.add_line(
            revision_id=self.found.pk, **form.values, by=self.request.user, at=self.request.now
        )


class OfLine(OfRevision):
    """Pages about one line of a revision."""

    line: Line

    def find(self) -> Revision:
        revision = super().find()
        line = revision.lines.filter(pk=self.kwargs["line"]).first()
        if line is None:
            raise Http404
        self.line = line
        return revision


class ChangeLine(OfLine, ServiceFormView):
    """Words, quantity and price of a line."""

    template_name = "quotes/quoting/line.html"

    permission = WRITE
    form_class = forms.ChangeLineForm
    title = "Change the line"
    button = "Save the line"
    success_message = "Saved: {made}."

    def get_form_kwargs(self) -> dict[str, Any]:
        more = {"see_margin": self.sees_margin, "line": self.line}
        return super().get_form_kwargs() | more

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        names = [self.found.pk, self.line.pk]
        asked = self.line.kind in forms.ASKED_FORMS
        return super().get_context_data(
            figures_url=reverse("quoting:change_asked", args=names) if asked else "",
            move_url=reverse("quoting:move_line", args=names),
            remove_url=reverse("quoting:remove_line", args=names),
            **kwargs,
        )

    def get_initial(self) -> dict[str, Any]:
        line = self.line
        return {
            "version": self.found.version, "words": line.words, "fixed": line.fixed,
            "caution": line.caution,
            "quantity": line.quantity.normalize().to_integral_value()
            if line.quantity == line.quantity.to_integral_value() else line.quantity.normalize(),
            "cost_each": round(line.other / line.quantity, 2) if line.quantity else None,
        }  # fmt: skip

    def act(self, form: Any) -> Line:
        return services.change_line(
            line_id=self.line.pk, **form.values, by=self.request.user, at=self.request.now
        )


class RemoveLine(OfLine, ServiceActionView):
    """Take a line off."""

    permission = WRITE
    success_message = "The line is gone."

    def act(self) -> Revision:
        return services.remove_line(line_id=self.line.pk, by=self.request.user, at=self.request.now)


class MoveLine(OfLine, ServiceActionView):
    """Move a line one place; `way` is up or down."""

    permission = WRITE

    def act(self) -> Revision:
        return services.move_line(
            line_id=self.line.pk, up=self.request.POST.get("way") == "up",
            by=self.request.user, at=self.request.now,
        )  # fmt: skip
