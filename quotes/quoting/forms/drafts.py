"""Forms of quotes. Who may not see costs is not asked for them, nor told them."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django import forms

from jobs.billing.rules import percent_of
from jobs.kernel.templatetags.firm import day_year
from jobs.surveys.models import Survey
from quotes.pricebook.enums import Measure, Unit
from quotes.pricebook.models import WorkItem
from quotes.quoting.enums import LineKind, VatCode
from quotes.quoting.models import Line, Revision

DECIMAL = {"inputmode": "decimal"}
MOST = Decimal("9999999.99")
# What people write themselves; the others have pages of their own, or follow from the reckoning.
WRITTEN = (LineKind.WORK, LineKind.FREE, LineKind.OPTION, LineKind.PROVISIONAL)


class PercentField(forms.DecimalField):
    """A percentage with two places, from 0 to `max_value`."""

    unit = "%"

    def __init__(self, **kwargs: Any) -> None:
        usual = {"min_value": 0, "max_value": 100, "decimal_places": 2, "max_digits": 5}
        kwargs = {**usual, **kwargs}
        super().__init__(widget=forms.TextInput(attrs=DECIMAL), **kwargs)


class PoundsField(forms.DecimalField):
    """An amount in pounds and pence."""

    unit = "£"

    def __init__(self, **kwargs: Any) -> None:
        kwargs = {"max_value": MOST, "decimal_places": 2, "max_digits": 10, **kwargs}
        super().__init__(widget=forms.TextInput(attrs=DECIMAL), **kwargs)


def caution_field() -> forms.CharField:
    """Return the field for what the customer is to know about a line or an option."""
    field = forms.CharField(
        label="what to know about it", max_length=300, required=False,
        help_text="the customer reads it beside the line, as the caution of an option",
    )  # fmt: skip
    typed: Any = field
    typed.silent_optional = True
    return field


class VersionedForm(forms.Form):
    """A form that knows which state of the quote the person saw."""

    version = forms.IntegerField(widget=forms.HiddenInput, required=False)


class StartForm(forms.Form):
    """Which survey is quoted, and which measured work goes with the surfacing; or small jobs alone.

    Without a survey there is nothing to choose: the draft is empty.
    """

    survey = forms.ModelChoiceField(
        queryset=Survey.objects.none(), required=False,
        empty_label="none: small jobs alone, nothing measured",
    )  # fmt: skip
    work_items = forms.ModelMultipleChoiceField(
        label="work beside the surfacing",
        queryset=WorkItem.objects.none(),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="their quantities come from the survey; without one they are left out",
    )

    def __init__(self, *args: Any, surveys: Any, items: Sequence[WorkItem], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        survey_field: Any = self.fields["survey"]
        survey_field.queryset, survey_field.silent_optional = surveys, True
        survey_field.label_from_instance = lambda survey: (
            f"{survey.get_kind_display()} of {day_year(survey.visited_at)}"
        )
        item_field: Any = self.fields["work_items"]
        item_field.queryset = WorkItem.objects.filter(pk__in=[item.pk for item in items])
        item_field.silent_optional = True
        if not surveys:
            self.fields.clear()


class TermsForm(VersionedForm):
    """What a draft is reckoned with; overhead and margin only for those who may see them."""

    overhead_percent = PercentField(label="overhead on direct cost", max_value=Decimal("999.99"))
    margin_percent = PercentField(label="margin in the price", max_value=Decimal("99.99"))
    discount_percent = PercentField(label="discount", required=False)
    discount_fixed = PoundsField(label="or a discount of", min_value=0, required=False)
    crew_size = forms.IntegerField(
        label="people on site", min_value=1, max_value=20,
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
    )  # fmt: skip
    valid_until = forms.DateField(
        label="holds until", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    vat_code = forms.ChoiceField(label="VAT", choices=VatCode.choices)
    vat_percent = PercentField(label="VAT rate")
    vat_reason = forms.CharField(
        label="why another rate", max_length=200, required=False,
        help_text="the reason; attach the document that shows it first",
    )  # fmt: skip

    def __init__(self, *args: Any, see_margin: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("vat_reason", "discount_percent", "discount_fixed"):
            self.fields[name].silent_optional = True  # type: ignore[attr-defined]
        if not see_margin:
            del self.fields["overhead_percent"], self.fields["margin_percent"]

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        if cleaned.get("discount_percent") and cleaned.get("discount_fixed"):
            self.add_error("discount_fixed", "Give the discount as a share or as a sum, not both.")
        code, percent = cleaned.get("vat_code"), cleaned.get("vat_percent")
        another = code not in {self.initial.get("vat_code"), VatCode.REVERSE, None}
        if another and percent == self.initial.get("vat_percent"):
            # Another choice brings its rate with it, where none was typed.
            cleaned["vat_percent"] = percent_of(str(code))
        return cleaned

    @property
    def values(self) -> dict[str, Any]:
        """The cleaned values as the service takes them."""
        none = {"discount_percent", "discount_fixed"}
        return {
            name: (value or Decimal(0)) if name in none else value
            for name, value in self.cleaned_data.items() if name != "version"
        }  # fmt: skip


class WordsForm(VersionedForm):
    """The words of a draft."""

    message = forms.CharField(
        label="words to the customer", required=False, max_length=2000, widget=forms.Textarea
    )
    exclusions = forms.CharField(
        label="not in the price", required=False, max_length=4000, widget=forms.Textarea
    )
    terms = forms.CharField(required=False, max_length=8000, widget=forms.Textarea)

    @property
    def values(self) -> dict[str, Any]:
        """The cleaned words as the service takes them."""
        return {name: self.cleaned_data[name] for name in ("message", "exclusions", "terms")}


class AddLineForm(VersionedForm):
    """A line from the price book, or one of your own."""

    kind = forms.ChoiceField(
        label="what it is",
        choices=[(kind.value, kind.label) for kind in WRITTEN],
    )
    work_item = forms.ModelChoiceField(
        label="work from the price book",
        queryset=WorkItem.objects.none(),
        required=False,
        empty_label="none: a line of your own",
    )
    words = forms.CharField(
        max_length=200, required=False, help_text="empty: the work item's own name"
    )
    quantity = forms.DecimalField(
        min_value=0, max_value=1_000_000, decimal_places=3, required=False,
        help_text="empty: the survey's figure, or 1 for a line of your own",
        widget=forms.TextInput(attrs=DECIMAL),
    )  # fmt: skip
    unit = forms.ChoiceField(choices=Unit.choices, initial=Unit.EACH, help_text="of your own line")
    cost_each = PoundsField(
        label="our cost of one", min_value=0, required=False, help_text="of your own line"
    )
    fixed = PoundsField(
        label="price before VAT, for all of it", min_value=-MOST, required=False,
        help_text="empty: reckoned from the cost; below nothing: a discount",
    )  # fmt: skip
    caution = caution_field()

    def __init__(self, *args: Any, see_margin: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field: Any = self.fields["work_item"]
        field.queryset = WorkItem.objects.in_use().filter(is_surface=False)
        if not see_margin:
            del self.fields["cost_each"]

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        item, kind = cleaned.get("work_item"), cleaned.get("kind")
        if kind == LineKind.WORK and item is None:
            self.add_error("work_item", "Choose the work, or make it a line of your own.")
        if kind == LineKind.FREE and item is not None:
            self.add_error("kind", "Work from the price book is 'work', an option or provisional.")
        if item is None and not cleaned.get("words") and "words" not in self.errors:
            self.add_error("words", "Say what the line is for.")
        if item and item.measure == Measure.NONE and not cleaned.get("quantity"):
            self.add_error("quantity", "Give how much of it; the survey does not measure it.")
        return cleaned

    @property
    def values(self) -> dict[str, Any]:
        """The cleaned values as the service takes them."""
        found = dict(self.cleaned_data)
        item = found.pop("work_item")
        cost = found.pop("cost_each", None)
        return found | {"work_item_id": item.pk if item else None, "cost_each": cost or Decimal(0)}


class ChangeLineForm(VersionedForm):
    """What can be changed of a line that stands."""

    words = forms.CharField(max_length=200)
    quantity = forms.DecimalField(
        min_value=0, max_value=1_000_000, decimal_places=3,
        widget=forms.TextInput(attrs=DECIMAL),
    )  # fmt: skip
    cost_each = PoundsField(label="our cost of one", min_value=0, required=False)
    fixed = PoundsField(
        label="price before VAT, for all of it", min_value=-MOST, required=False,
        help_text="empty: reckoned from the cost",
    )  # fmt: skip
    caution = caution_field()

    def __init__(self, *args: Any, line: Line, see_margin: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        quantity: Any = self.fields["quantity"]
        quantity.unit = Unit(line.unit).label
        asked = line.kind in LineKind.ASKED
        if line.kind == LineKind.SURFACE or asked:
            del self.fields["quantity"]
        if line.kind in LineKind.PRICED_BY_BOOK:
            del self.fields["fixed"]
        if not see_margin or line.work_item_id or line.kind == LineKind.SURFACE or asked:
            del self.fields["cost_each"]

    @property
    def values(self) -> dict[str, Any]:
        """The cleaned values as the service takes them."""
        return dict(self.cleaned_data)


class SendForm(forms.Form):
    """Where the quote goes."""

    to = forms.EmailField(label="to", help_text="the customer's e-mail address")
    below_floor = forms.BooleanField(
        label="The price is below what the job costs us. Send it all the same.", required=False
    )

    def __init__(self, *args: Any, below_floor: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not below_floor:
            del self.fields["below_floor"]


def terms_initial(revision: Revision) -> dict[str, Any]:
    """Return what the terms form begins with."""
    names = (
        "version", "overhead_percent", "margin_percent", "valid_until", "vat_code", "vat_percent",
        "vat_reason", "crew_size",
    )  # fmt: skip
    discounts = ("discount_percent", "discount_fixed")
    return {name: getattr(revision, name) for name in names} | {
        name: getattr(revision, name) or None for name in discounts
    }
