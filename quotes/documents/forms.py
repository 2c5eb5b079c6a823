"""Which two revisions are held side by side."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms

from quotes.quoting.models import Revision


class CompareForm(forms.Form):
    """An earlier and a later revision; left out, the last two."""

    first = forms.TypedChoiceField(label="this one", coerce=int, required=False)
    second = forms.TypedChoiceField(label="with this one", coerce=int, required=False)

    def __init__(self, *args: Any, revisions: Sequence[Revision], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        numbers = [revision.number for revision in revisions]
        self.usual = (numbers[-2], numbers[-1]) if len(numbers) > 1 else (0, 0)
        choices = [
            (each.number, f"revision {each.number}, {each.get_state_display()}")
            for each in revisions
        ]
        for name, number in zip(("first", "second"), self.usual, strict=True):
            field: Any = self.fields[name]
            field.choices, field.initial, field.silent_optional = choices, number, True

    @property
    def chosen(self) -> tuple[int, int]:
        """The two numbers asked for, the usual ones where nothing was."""
        values = getattr(self, "cleaned_data", {})
        return values.get("first") or self.usual[0], values.get("second") or self.usual[1]
