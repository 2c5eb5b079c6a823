"""What is asked of a message: its kind and figures first, then the words that go."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms

from jobs.kernel.forms import OnceForm
from jobs.messages.enums import Kind
from jobs.messages.rules import MOST_HOURS, Details
from jobs.messages.services import LONGEST_BODY
from jobs.outbox.enums import Channel

FIELDS_OF: dict[str, tuple[str, ...]] = {
    Kind.CHANGED: ("old_first", "old_last"),
    Kind.RAIN: ("old_first", "old_last"),
    Kind.CAR: ("car_from", "car_until"),
    Kind.KEEP_OFF: ("laid_on", "foot_hours", "vehicle_hours"),
}


def day_field(label: str, help_text: str = "") -> forms.DateField:
    """Return the field for a day that may be left open."""
    return forms.DateField(
        label=label, required=False, help_text=help_text,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )  # fmt: skip


def hours_field(label: str) -> forms.IntegerField:
    """Return the field for whole hours."""
    field = forms.IntegerField(
        label=label, required=False, min_value=1, max_value=MOST_HOURS,
        widget=forms.NumberInput({"inputmode": "numeric", "class": "short"}),
    )  # fmt: skip
    field.unit = "h"  # type: ignore[attr-defined]
    return field


class AskForm(forms.Form):
    """Kind, channel and what the kind is filled with; sent by GET, so that it changes nothing."""

    kind = forms.ChoiceField(label="About", choices=Kind.choices)
    channel = forms.ChoiceField(label="Goes as", choices=Channel.choices)
    booking = forms.IntegerField(required=False, widget=forms.HiddenInput, max_value=2**62)
    old_first = day_field("Day that no longer holds")
    old_last = day_field("to", "Where it was more than one day.")
    car_from = day_field("No car from")
    car_until = day_field("Back at the earliest on")
    laid_on = day_field("Laid on")
    foot_hours = hours_field("On foot after")
    vehicle_hours = hours_field("Vehicles after")

    def __init__(self, *args: Any, kind: str, texts: bool, hours_help: str = "", **kw: Any) -> None:
        super().__init__(*args, **kw)
        wanted = {"kind", "channel", "booking", *FIELDS_OF.get(kind, ())}
        for name in set(self.fields) - wanted:
            del self.fields[name]
        for name in FIELDS_OF.get(kind, ()):
            self.fields[name].silent_optional = True  # type: ignore[attr-defined]
        if "foot_hours" in self.fields:
            self.fields["vehicle_hours"].help_text = hours_help
        if not texts:
            self.fields["channel"].choices = [(Channel.MAIL.value, Channel.MAIL.label)]  # type: ignore[attr-defined]

    def details(self) -> Details:
        """Return what was asked for; what could not be read is left open."""
        found = getattr(self, "cleaned_data", {})
        names = [name for name in Details.__dataclass_fields__ if name in found]
        return Details(**{name: found[name] for name in names})


class WriteForm(OnceForm):
    """The words as they will go, with what they were filled with beside them."""

    to = forms.ChoiceField(label="To")
    subject = forms.CharField(label="Head", max_length=200, required=False)
    body = forms.CharField(
        label="Words", max_length=LONGEST_BODY, widget=forms.Textarea({"rows": 14})
    )
    needed = forms.BooleanField(
        label="The work needs this message", required=False,
        help_text="The customer wants no others.",
    )  # fmt: skip

    def __init__(
        self, *args: Any, ask: AskForm, to: Sequence[tuple[str, str]], asks_need: bool, **kw: Any
    ) -> None:
        # Its ids differ from those of the form above, which has the same names.
        super().__init__(*args, **kw | {"auto_id": "write_%s"})
        self.fields["to"].choices = list(to)  # type: ignore[attr-defined]
        for name, field in ask.fields.items():
            self.fields[name] = type(field)(
                required=False, widget=forms.HiddenInput, **choices_of(field)
            )
        if ask["channel"].value() == Channel.TEXT:
            del self.fields["subject"]
            self.fields["body"].widget.attrs["rows"] = 6
        else:
            self.fields["subject"].required = True
        if not asks_need:
            del self.fields["needed"]


def choices_of(field: forms.Field) -> dict[str, Any]:
    """Return the choices of a field that has some, as an argument."""
    return {"choices": field.choices} if isinstance(field, forms.ChoiceField) else {}


class WordingForm(forms.Form):
    """The firm's words for one kind and channel, from a day on."""

    valid_from = forms.DateField(
        label="From", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    subject = forms.CharField(label="Head", max_length=200)
    body = forms.CharField(
        label="Words", max_length=LONGEST_BODY, widget=forms.Textarea({"rows": 14})
    )

    def __init__(self, *args: Any, channel: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if channel == Channel.TEXT:
            del self.fields["subject"]
            self.fields["body"].widget.attrs["rows"] = 6
