"""What a customer types to answer, and what the office types from his paper."""

from __future__ import annotations

from typing import Any

from django import forms

from jobs.kernel.templatetags.firm import money
from quotes.acceptance.rules import consents_for
from quotes.quoting.rules import QuoteSheet


class AnswerForm(forms.Form):
    """Options, consents and the typed name, in the order in which they are asked."""

    def __init__(self, *args: Any, sheet: QuoteSheet, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if sheet.options:
            options: Any = forms.TypedMultipleChoiceField(
                label="options",
                choices=[
                    (line.key, f"{line.words}: add {self.price(sheet, line)}")
                    for line in sheet.options
                ],
                coerce=int,
                required=False,
                widget=forms.CheckboxSelectMultiple,
                help_text="each adds to the price what stands beside it",
            )
            options.silent_optional = True
            self.fields["options"] = options
        for consent in consents_for(sheet):
            self.fields[consent.name] = forms.BooleanField(
                label=consent.words,
                required=consent.needed,
                error_messages={"required": "Without this the quote cannot be accepted."},
            )
        self.fields["name"] = forms.CharField(
            label="your name",
            max_length=120,
            error_messages={"required": "Type your name."},
            widget=forms.TextInput(attrs={"autocomplete": "name"}),
        )
        self.sheet = sheet

    @staticmethod
    def price(sheet: QuoteSheet, line: Any) -> str:
        """Return an option's price as this customer reads prices."""
        if sheet.consumer:
            return f"{money(line.gross)} with VAT"
        return f"{money(line.net)} before VAT"

    @property
    def answer(self) -> dict[str, Any]:
        """Name, consents and options as the service takes them."""
        return {
            "name": self.cleaned_data["name"],
            "options": self.cleaned_data.get("options", []),
            "consents": {
                each.name: bool(self.cleaned_data.get(each.name))
                for each in consents_for(self.sheet)
            },
        }


class PaperForm(AnswerForm):
    """An acceptance on paper, with the paper itself."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["name"].label = "who signed"
        self.fields["order_number"] = forms.CharField(
            label="their order number", max_length=40, required=False
        )
        self.fields["file"] = forms.FileField(label="the paper", help_text="a PDF or a photo of it")


class DeclineForm(forms.Form):
    """Why not."""

    reason = forms.CharField(
        label="why not, in a few words",
        max_length=300,
        widget=forms.Textarea,
        error_messages={"required": "Tell us in a few words why."},
    )
