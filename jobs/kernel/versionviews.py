"""Pages that edit a row with a version: what somebody else saved meanwhile is shown first."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.shortcuts import get_object_or_404

from jobs.kernel.forms import VersionedForm, opened_values, stale_changes
from jobs.kernel.versions import StaleError
from jobs.kernel.views import ServiceFormView


class VersionedFormView(ServiceFormView):
    """A form on the found row: write `change(form)`; its service takes the form's `version`.

    When somebody else saved first the page answers 422 with what was typed kept, what changed
    shown, and the version brought up to date, so that saving again is a decision.
    """

    template_name = "edit_page.html"
    form_class: type[VersionedForm]

    def change(self, form: Any) -> Any:
        """Call the service with the cleaned values."""
        raise NotImplementedError(f"{type(self).__name__} must call its service in change(form).")

    def get_initial(self) -> dict[str, Any]:
        return self.initial_of(tuple(self.form_class.base_fields))

    def initial_of(self, names: Iterable[str]) -> dict[str, Any]:
        """Return the row's own values among `names`, with its version and their signed copy."""
        hidden = self.form_class.not_compared
        own = [n for n in dict.fromkeys(names) if n not in hidden and hasattr(self.found, n)]
        return {
            **{name: getattr(self.found, name) for name in own},
            "version": self.found.version,
            "opened": opened_values(self.found, own),
        }

    def act(self, form: Any) -> Any:
        try:
            return self.change(form)
        except StaleError:
            now = get_object_or_404(type(self.found), pk=self.found.pk)
            self.extra_context = {"stale": stale_changes(form, now)}
            form.data = form.data.copy()
            form.data["version"] = str(now.version)
            own = [name for name in form.compared() if hasattr(now, name)]
            form.data["opened"] = opened_values(now, own)
            raise
