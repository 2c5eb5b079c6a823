"""What is typed of claims."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms

from jobs.kernel.forms import OnceForm
from jobs.work.forms import FilesField, SeveralFiles
from stock.claims.enums import Against, Answer, ToldBy
from stock.ledger.rules import pack_words
from stock.ordering.models import GoodsInLine


def day_input() -> forms.DateInput:
    return forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


def words_field(label: str, most: int = 500, **more: Any) -> forms.CharField:
    return forms.CharField(
        label=label, max_length=most, widget=forms.Textarea({"rows": 3}), **more
    )  # fmt: skip


def money_field(label: str, **more: Any) -> forms.DecimalField:
    return forms.DecimalField(
        label=label, min_value=0, max_digits=10, decimal_places=2,
        widget=forms.NumberInput({"class": "short", "inputmode": "decimal"}), **more,
    )  # fmt: skip


def files_field(*, required: bool = True) -> FilesField:
    return FilesField(
        label="Photos and papers", required=required,
        widget=SeveralFiles({"accept": "image/*,application/pdf"}),
        help_text="The goods, the wrap, the label, the signed delivery note; several at once.",
    )  # fmt: skip


def line_words(line: GoodsInLine) -> str:
    """Return a line as the form offers it."""
    item = line.order_line.item
    packs = pack_words(line.quantity, item.pack_quantity, item.pack_name)
    note = f": {line.note}" if line.note else ""
    return f"{line.get_outcome_display()}, {packs} of {item}{note}"


class OpenForm(OnceForm):
    """Which lines, against whom, and with what evidence."""

    lines = forms.MultipleChoiceField(label="For", widget=forms.CheckboxSelectMultiple)
    against = forms.ChoiceField(
        label="Against", choices=Against.choices, widget=forms.RadioSelect, initial="carrier"
    )
    what = words_field("What is claimed", help_text="As it will be told to them.")
    credit_expected = money_field("Credit expected (£, without VAT)", required=False)
    file = files_field(required=False)

    def __init__(self, *args: Any, lines: Sequence[GoodsInLine], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choices = [(str(line.pk), line_words(line)) for line in lines]
        self.fields["lines"].choices = choices  # type: ignore[attr-defined]
        self.fields["lines"].initial = [value for value, _ in choices]
        for name in ("credit_expected", "file"):
            self.fields[name].silent_optional = True  # type: ignore[attr-defined]

    def clean_file(self) -> list[Any]:
        return [file for file in self.cleaned_data["file"] or [] if file]


class NotifyForm(forms.Form):
    how = forms.ChoiceField(label="How were they told?", choices=ToldBy.choices)
    told_at = forms.DateTimeField(
        label="When",
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
    )
    words = words_field("With which words, and to whom")


class AnswerForm(forms.Form):
    answer = forms.ChoiceField(
        label="What did they answer?", choices=Answer.choices, widget=forms.RadioSelect
    )
    answered_on = forms.DateField(label="On", widget=day_input())
    words = words_field("In their words", required=False)
    credit_expected = money_field("Credit they named (£, without VAT)", required=False)


class CreditForm(OnceForm):
    amount = money_field("Credit (£, without VAT)")
    credit_on = forms.DateField(label="Dated", widget=day_input())
    reference = forms.CharField(label="Their credit note", max_length=40, required=False)


class CloseForm(forms.Form):
    words = words_field(
        "Why, where less came than was expected", 300, required=False,
        help_text="Refused by the carrier, written off, replaced free of charge.",
    )  # fmt: skip


class EvidenceForm(forms.Form):
    file = files_field()
    caption = forms.CharField(label="What they show", max_length=200, required=False)
