"""What people type of a survey: the base and the answers, areas, and shapes as taped."""

from __future__ import annotations

from typing import Any

from django import forms

from jobs.kernel.forms import OnceForm, VersionedForm
from jobs.sites.enums import Answer
from jobs.surveys.enums import BaseKind, Condition, Use
from jobs.surveys.models import QUESTIONS, Survey
from jobs.surveys.queries import question_words
from jobs.surveys.rules import taping
from jobs.surveys.rules.taping import EXAMPLE, TAPED, Taped, TypedError, read_typed

SHORT = {"class": "short"}
DECIMAL = {"inputmode": "decimal"}
MOMENT = "%Y-%m-%dT%H:%M"


class BaseFields(forms.Form):
    """When, and on what the surface will lie."""

    visited_at = forms.DateTimeField(
        label="Visit", widget=forms.DateTimeInput({"type": "datetime-local"}, format=MOMENT),
        help_text="A time to come puts the visit into the diary.",
    )  # fmt: skip
    base_kind = forms.ChoiceField(label="Base", choices=BaseKind.choices)
    base_condition = forms.ChoiceField(
        label="Its condition", choices=Condition.choices, initial=Condition.UNKNOWN
    )
    base_texture_mm = forms.DecimalField(
        label="Texture to fill", min_value=0, max_value=50, max_digits=4, decimal_places=1,
        initial=0, widget=forms.TextInput(DECIMAL),
        help_text="The depth the open texture of the base swallows before the surface begins.",
    )  # fmt: skip
    fall = forms.CharField(
        max_length=20, required=False, widget=forms.TextInput(SHORT),
        help_text="As 1:80 or 1.25 %.",
    )  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["base_texture_mm"].unit = "mm"  # type: ignore[attr-defined]


class StartForm(BaseFields, OnceForm):
    """A new survey: the answers come on its page, on site."""

    copy_from = forms.ModelChoiceField(
        label="Start from the measurements of", queryset=Survey.objects.none(), required=False,
        empty_label="nothing, measure anew",
    )  # fmt: skip

    def __init__(self, *args: Any, earlier: list[Survey], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field: Any = self.fields["copy_from"]
        field.queryset = Survey.objects.filter(pk__in=[s.pk for s in earlier]).select_related(
            "job__site"
        )
        field.label_from_instance = lambda s: f"{s.job.reference} {s.job.title}, {s.job.site}"
        if not earlier:
            del self.fields["copy_from"]


class CheckForm(OnceForm):
    """A check-measure starts from the survey's areas; only the visit is asked."""

    visited_at = BaseFields.base_fields["visited_at"]


class SurveyEditForm(BaseFields, VersionedForm):
    """The base and the answers, at the version the page was opened at."""

    notes = forms.CharField(max_length=4000, required=False, widget=forms.Textarea({"rows": 4}))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        notes = self.fields.pop("notes")
        for name in QUESTIONS:
            words = question_words(name)
            self.fields[name] = forms.ChoiceField(
                label=words[0].upper() + words[1:], choices=Answer.choices,
                initial=Answer.UNKNOWN, widget=forms.RadioSelect({"class": "abreast"}),
            )  # fmt: skip
        self.fields["notes"] = notes


class AreaFields(forms.Form):
    """A named surface of one depth and use, and in which pour and colour it is laid."""

    name = forms.CharField(max_length=60, help_text="As drive, path, step.")
    use = forms.ChoiceField(label="What passes over it", choices=Use.choices,
                            initial=Use.VEHICLES)  # fmt: skip
    depth_mm = forms.DecimalField(
        label="Depth", max_digits=4, decimal_places=1, initial=18,
        widget=forms.TextInput(DECIMAL),
    )  # fmt: skip
    pour_name = forms.CharField(
        label="Laid in", max_length=40, required=False, widget=forms.TextInput({"list": "pours"}),
        help_text="Areas of one pour are laid in one go; mixes are whole for each pour.",
    )  # fmt: skip
    group_name = forms.CharField(
        label="Colour", max_length=40, required=False, widget=forms.TextInput({"list": "groups"}),
        help_text="Areas that must look alike: one production run of stone serves them all.",
    )  # fmt: skip
    outdoors = forms.BooleanField(label="Outdoors", required=False, initial=True)
    edging = forms.BooleanField(label="Edging along its open edge", required=False, initial=True)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["depth_mm"].unit = "mm"  # type: ignore[attr-defined]
        for name in ("pour_name", "group_name"):
            self.fields[name].silent_optional = True  # type: ignore[attr-defined]


class AreaForm(AreaFields, OnceForm):
    """A new area."""


class AreaEditForm(AreaFields, VersionedForm):
    """An area that is there, as the page showed it."""


class ShapeFields(forms.Form):
    """One shape as taped: the measurements of its kind, then what they do to the area."""

    kind: str = ""

    def __init__(self, *args: Any, kind: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.kind = kind
        common = self.fields
        self.fields = {t.key: taped_field(t) for t in TAPED[kind]} | common
        first = self.fields[TAPED[kind][0].key]
        first.help_text = first.help_text or EXAMPLE
        for name in ("shared", "restrained", "note", "at_x_m", "at_y_m"):
            self.fields[name].silent_optional = True  # type: ignore[attr-defined]
        for name in ("at_x_m", "at_y_m"):
            self.fields[name].unit = "m"  # type: ignore[attr-defined]

    deduct = forms.BooleanField(
        label="Take this away from the area", required=False,
        help_text="A bed, a cover, a tree.",
    )  # fmt: skip
    large = forms.BooleanField(label="Yes, it is that large", required=False)
    shared = forms.CharField(
        label="Length it shares with earlier shapes", max_length=30, required=False,
        help_text="So that the edge is not counted twice; 0 m where it touches none.",
    )  # fmt: skip
    restrained = forms.CharField(
        label="Length already held by a wall or kerb", max_length=30, required=False,
        help_text="No edging is needed there.",
    )  # fmt: skip
    note = forms.CharField(
        label="What it is", max_length=60, required=False, help_text="As tree pit, inlet."
    )
    at_x_m = forms.DecimalField(
        label="Drawn from the left", max_digits=6, decimal_places=2, required=False,
        widget=forms.TextInput(DECIMAL),
    )  # fmt: skip
    at_y_m = forms.DecimalField(
        label="Drawn from below", max_digits=6, decimal_places=2, required=False,
        widget=forms.TextInput(DECIMAL),
        help_text="Where its lower left corner lies on the plan; empty: beside the one before.",
    )  # fmt: skip

    def measured(self) -> list[Any]:
        """Return the bound fields of the kind's own measurements."""
        return [self[taped.key] for taped in TAPED[self.kind]]

    def take_focus(self) -> None:
        """Let the first wrong field, or else the first one, take the focus after a swap."""
        wrong = next((name for name in self.fields if name in self.errors), "")
        name = wrong or TAPED[self.kind][0].key
        self.fields[name].widget.attrs["autofocus"] = True

    def folded_open(self) -> bool:
        """Return whether one of the rarer fields holds something or is wrong."""
        names = ("shared", "restrained", "at_x_m", "at_y_m")
        return any(self[name].value() or name in self.errors for name in names)

    def asks_large(self) -> bool:
        """Return whether the question about a very large area is to be shown."""
        return "large" in self.errors or bool(self.data.get("large"))

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        try:
            found = read_typed(self.kind, cleaned)
        except TypedError as error:
            self.add_error(error.key, error.message)
            return cleaned
        if cleaned.get("restrained") and not cleaned.get("deduct"):
            found["restrained"] = cleaned["restrained"].strip()
        cleaned["measurements"] = found
        return cleaned

    def for_service(self) -> dict[str, Any]:
        """Return the service's arguments."""
        names = ("measurements", "deduct", "large", "shared", "note", "at_x_m", "at_y_m")
        return {name: self.cleaned_data[name] for name in names}


def taped_field(taped: Taped) -> forms.Field:
    """Return the form field for one measurement."""
    common: dict[str, Any] = {
        "label": taped.label, "required": taped.required, "help_text": taped.help,
    }  # fmt: skip
    if taped.kind == taping.FLAG:
        return forms.BooleanField(**common)
    if taped.kind == taping.CHOICE:
        return forms.ChoiceField(choices=taped.choices, **common)
    if taped.kind in (taping.CORNERS, taping.TRIANGLES, taping.LENGTHS):
        return forms.CharField(max_length=8000, widget=forms.Textarea({"rows": 4}), **common)
    return forms.CharField(
        max_length=60, widget=forms.TextInput({**SHORT, "autocomplete": "off"}), **common
    )


class ShapeForm(ShapeFields, OnceForm):
    """A new shape."""


class ShapeEditForm(ShapeFields, VersionedForm):
    """A shape that is there, as the page showed it."""


class ReopenForm(forms.Form):
    """Why a finished survey is opened again."""

    note = forms.CharField(label="Why", max_length=300)
