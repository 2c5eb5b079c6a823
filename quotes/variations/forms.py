"""Forms of variations. Who may not see costs is not asked for them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from django import forms

from jobs.kernel.templatetags.firm import quantity
from quotes.acceptance.forms import ConsentForm, ask_paper
from quotes.pricebook.enums import Unit
from quotes.pricebook.models import WorkItem
from quotes.quoting.models import Line
from quotes.variations.enums import ChangeKind
from quotes.variations.models import Variation
from quotes.variations.rules import VariationSheet, consents_for

DECIMAL = {"inputmode": "decimal"}
MOST = Decimal("9999999.99")


def pounds(**kwargs: Any) -> forms.DecimalField:
    """Return a field for an amount in pounds and pence."""
    usual = {"max_value": MOST, "decimal_places": 2, "max_digits": 10, "required": False}
    field: Any = forms.DecimalField(**{**usual, **kwargs}, widget=forms.TextInput(attrs=DECIMAL))
    field.unit, field.silent_optional = "£", True
    return field  # type: ignore[no-any-return]


class StartForm(forms.Form):
    """What changes, in a line, and in the words that the customer reads."""

    title = forms.CharField(label="what changes", max_length=120)
    words = forms.CharField(
        label="words to the customer", max_length=4000, required=False, widget=forms.Textarea
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        words: Any = self.fields["words"]
        words.silent_optional = True


class ChangeForm(StartForm):
    """What a draft is reckoned with beside its lines."""

    days_added = forms.IntegerField(
        label="days more on site", min_value=-60, max_value=60,
        help_text="below nought: fewer days",
    )  # fmt: skip
    restocking_percent = forms.DecimalField(
        label="suppliers take for taking back", min_value=0, max_value=100, decimal_places=2,
        max_digits=5, widget=forms.TextInput(attrs=DECIMAL),
        help_text="of what the material costs that goes back",
    )  # fmt: skip
    charge_kept = forms.BooleanField(
        label="charge the material that cannot be returned", required=False
    )
    valid_until = forms.DateField(
        label="holds until", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    version = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        percent: Any = self.fields["restocking_percent"]
        percent.unit = "%"

    @property
    def values(self) -> dict[str, Any]:
        """The cleaned values as the service takes them."""
        return {name: value for name, value in self.cleaned_data.items() if name != "version"}


def change_initial(variation: Variation) -> dict[str, Any]:
    """Return what the form of a draft begins with."""
    names = (
        "title", "words", "days_added", "restocking_percent", "charge_kept", "valid_until",
        "version",
    )  # fmt: skip
    return {name: getattr(variation, name) for name in names}


class LineForm(forms.Form):
    """A line: less or more of the quote, work from the price book, or one of your own."""

    kind = forms.ChoiceField(label="what it is", choices=ChangeKind.choices)
    line = forms.ModelChoiceField(
        label="line of the quote", queryset=Line.objects.none(), required=False,
        empty_label="none", help_text="for less or more of it, at the price agreed",
    )  # fmt: skip
    work_item = forms.ModelChoiceField(
        label="work from the price book", queryset=WorkItem.objects.none(), required=False,
        empty_label="none",
    )  # fmt: skip
    quantity = forms.DecimalField(
        min_value=Decimal("0.001"), max_value=1_000_000, decimal_places=3,
        widget=forms.TextInput(attrs=DECIMAL),
    )  # fmt: skip
    unit = forms.ChoiceField(choices=Unit.choices, initial=Unit.EACH, help_text="of your own line")
    words = forms.CharField(max_length=200, required=False, help_text="empty: the line's own")
    cost_each = pounds(label="our cost of one", min_value=0, help_text="of your own line")
    fixed = pounds(
        label="price before VAT, for all of it", min_value=-MOST,
        help_text="empty: reckoned from the cost; below nothing: a credit",
    )  # fmt: skip
    version = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(
        self, *args: Any, lines: Sequence[Line], left: Mapping[int, Decimal], see_margin: bool,
        **kwargs: Any,
    ) -> None:  # fmt: skip
        super().__init__(*args, **kwargs)
        line: Any = self.fields["line"]
        line.queryset = Line.objects.filter(pk__in=[each.pk for each in lines])
        line.label_from_instance = lambda each: (
            f"{each.words}: "
            + quantity(each.quantity - left.get(each.pk, Decimal(0)), str(Unit(each.unit).label))
        )
        work: Any = self.fields["work_item"]
        work.queryset = WorkItem.objects.in_use().filter(is_surface=False)
        for name in ("line", "work_item", "words"):
            field: Any = self.fields[name]
            field.silent_optional = True
        if not see_margin:
            del self.fields["cost_each"]

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        kind = cleaned.get("kind")
        if kind in ChangeKind.OF_QUOTE and not cleaned.get("line") and "line" not in self.errors:
            self.add_error("line", "Choose the line of the quote.")
        lacks_work = kind == ChangeKind.WORK and not cleaned.get("work_item")
        if lacks_work and "work_item" not in self.errors:
            self.add_error("work_item", "Choose the work from the list.")
        if kind == ChangeKind.FREE and not cleaned.get("words") and "words" not in self.errors:
            self.add_error("words", "Say what the line is for.")
        return cleaned

    @property
    def values(self) -> dict[str, Any]:
        """The cleaned values as the service takes them."""
        found = dict(self.cleaned_data)
        line, item = found.pop("line"), found.pop("work_item")
        cost = found.pop("cost_each", None)
        return found | {
            "line_id": line.pk if line else None, "work_item_id": item.pk if item else None,
            "cost_each": cost or Decimal(0),
        }  # fmt: skip


class DaysForm(forms.Form):
    """Why the days of an accepted variation need no change of the booking."""

    reason = forms.CharField(
        label="why no change is needed", max_length=300, widget=forms.Textarea,
        help_text="for example: the crew does it within the days that are booked",
    )  # fmt: skip


class SendForm(forms.Form):
    """Where the variation goes."""

    to = forms.EmailField(label="to", help_text="the customer's e-mail address")


class SignForm(ConsentForm):
    """What the customer says and types to accept a variation."""

    def __init__(self, *args: Any, sheet: VariationSheet, **kwargs: Any) -> None:
        super().__init__(*args, consents=consents_for(sheet), **kwargs)


class PaperForm(SignForm):
    """A variation signed on paper, with the paper itself."""

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        ask_paper(self, today)
