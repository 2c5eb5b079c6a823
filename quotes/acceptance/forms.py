"""What a customer types to answer, and what the office types from his paper."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from django import forms

from jobs.kernel.templatetags.firm import money
from quotes.acceptance.rules import WITHOUT, Consent, consents_for
from quotes.quoting.rules import QuoteSheet


class ConsentForm(forms.Form):
    """The things the customer says by a tick, and his typed name."""

    def __init__(self, *args: Any, consents: Sequence[Consent], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.consents = consents
        for consent in consents:
            self.fields[consent.name] = forms.BooleanField(
                label=consent.words,
                required=consent.needed,
                error_messages={"required": WITHOUT},
            )
        self.fields["name"] = forms.CharField(
            label="your name",
            max_length=120,
            error_messages={"required": "Type your name."},
            widget=forms.TextInput(attrs={"autocomplete": "name"}),
        )

    @property
    def answer(self) -> dict[str, Any]:
        """Name and consents as the service takes them."""
        return {
            "name": self.cleaned_data["name"],
            "consents": {
                each.name: bool(self.cleaned_data.get(each.name)) for each in self.consents
            },
        }


class AnswerForm(ConsentForm):
    """Options, consents and the typed name, in the order in which they are asked."""

    def __init__(self, *args: Any, sheet: QuoteSheet, **kwargs: Any) -> None:
        super().__init__(*args, consents=consents_for(sheet), **kwargs)
        self.sheet = sheet
        if sheet.options:
            options: Any = forms.TypedMultipleChoiceField(
                label="options",
                choices=[(line.key, self.option(sheet, line)) for line in sheet.options],
                coerce=int,
                required=False,
                widget=forms.CheckboxSelectMultiple,
                help_text="each adds to the price what stands beside it",
            )
            options.silent_optional = True
            self.fields["options"] = options
            self.order_fields(["options"])

    @property
    def chosen(self) -> list[int]:
        """The options that are ticked, whatever else is missing."""
        data: Any = self.data
        ticked = data.getlist("options") if self.is_bound else self.initial.get("options", [])
        return [line.key for line in self.sheet.options if str(line.key) in ticked]

    def as_typed(self) -> AnswerForm:
        """Return the form with what was typed and ticked, and with nothing wrong yet."""
        data: Any = self.data
        ticks: dict[str, Any] = {each.name: each.name in data for each in self.consents}
        typed = {"name": data.get("name", ""), "options": data.getlist("options")}
        return AnswerForm(initial=ticks | typed, sheet=self.sheet)

    @staticmethod
    def option(sheet: QuoteSheet, line: Any) -> str:
        """Return an option with its price as this customer reads prices, and its caution."""
        price = (
            f"{money(line.gross)} with VAT" if sheet.consumer else f"{money(line.net)} before VAT"
        )
        return f"{line.words}: add {price}" + (f". {line.caution}" if line.caution else "")

    @property
    def answer(self) -> dict[str, Any]:
        """Name, consents and options as the service takes them."""
        return super().answer | {"options": self.cleaned_data.get("options", [])}


def ask_paper(form: forms.Form, today: date) -> None:
    """Ask for the paper itself, who signed it, and on which day."""
    form.fields["name"].label = "who signed"
    form.fields["name"].error_messages["required"] = "Give the name that is on the paper."
    form.fields["signed_on"] = forms.DateField(
        label="signed on", initial=today,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        help_text="the day on the paper; a consumer's days to cancel count from it",
    )  # fmt: skip
    form.fields["file"] = forms.FileField(label="the paper", help_text="a PDF or a photo of it")


class PaperForm(AnswerForm):
    """An acceptance on paper, with the paper itself."""

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["order_number"] = forms.CharField(
            label="their order number", max_length=40, required=False
        )
        ask_paper(self, today)


class DeclineForm(forms.Form):
    """Why not."""

    reason = forms.CharField(
        label="why not, in a few words",
        max_length=300,
        widget=forms.Textarea,
        error_messages={"required": "Tell us in a few words why."},
    )
