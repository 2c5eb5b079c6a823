"""Forms that only ask: they are sent by GET, so that an answer can be kept as an address."""

from __future__ import annotations

from typing import Any

from django import forms
from django.http import HttpRequest, QueryDict

MOST_ROWS = 60


def number(
    label: str, least: float, most: float, initial: float | None = None, **kwargs: Any
) -> forms.FloatField:
    """Return a field for a figure with its unit behind it."""
    unit, required = kwargs.pop("unit", ""), kwargs.pop("required", True)
    field = forms.FloatField(
        label=label, min_value=least, max_value=most, initial=initial, required=required,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "class": "short"}), **kwargs,
    )  # fmt: skip
    typed: Any = field
    typed.unit, typed.silent_optional = unit, True
    return field


def asked(form: type[forms.Form], request: HttpRequest, **changed: Any) -> forms.Form:
    """Return the form with what was asked, or with what it asks of itself.

    Its answer stands on the page in either case; `changed` are other first values.
    """
    name = form.__name__.lower()
    if f"{name}-ask" in request.GET:
        return form(request.GET, prefix=name)
    data = QueryDict(mutable=True)
    for key, field in form.base_fields.items():
        value = changed.get(key, field.initial)
        if value is not None and value is not False:
            data[f"{name}-{key}"] = f"{value:g}" if isinstance(value, float) else str(value)
    return form(data, prefix=name)


class Lines(forms.BaseFormSet):  # type: ignore[type-arg]
    """Ruled lines, of which empty ones do not count."""

    def filled(self) -> list[dict[str, Any]]:
        """Return the cleaned lines that hold something, in order."""
        return [form.cleaned_data for form in self.forms if form.has_changed()]


def lines_of(form: type[forms.Form], rows: int, base: type[Lines] = Lines) -> Any:
    """Return a formset class of so many empty lines, MOST_ROWS at most."""
    return forms.formset_factory(
        form, formset=base, extra=rows, max_num=MOST_ROWS, absolute_max=MOST_ROWS,
        validate_max=True,
    )  # fmt: skip
