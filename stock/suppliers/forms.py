"""What is typed of suppliers, their channels, closed days and prices."""

from __future__ import annotations

import calendar
from datetime import date, time
from decimal import Decimal
from typing import Any, ClassVar
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from django import forms

from stock.catalogue.models import Item
from stock.suppliers.enums import ChannelKind, SupplierCalendar
from stock.suppliers.models import Channel, Supplier

WEEKDAYS = [(str(n), calendar.day_name[n]) for n in range(7)]


def day_input() -> forms.DateInput:
    return forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class WeekField(forms.MultipleChoiceField):
    """Days of the week, kept as seven characters: '1111100'."""

    widget = forms.CheckboxSelectMultiple

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(choices=WEEKDAYS, **kwargs)

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, str):
            return [str(n) for n, mark in enumerate(value) if mark == "1"]
        return value

    def clean(self, value: Any) -> str:
        chosen = super().clean(value)
        return "".join("1" if str(n) in chosen else "0" for n in range(7))


class SupplierForm(forms.ModelForm[Supplier]):
    works = WeekField(label="They work on", initial="1111100")
    delivers = WeekField(label="They deliver to us on", initial="1111100")

    class Meta:
        model = Supplier
        fields = (
            "name", "email", "phone", "account_number", "clock", "works", "delivers",
            "claim_days", "notes",
        )  # fmt: skip
        labels: ClassVar[dict[str, str]] = {
            "phone": "Telephone", "email": "E-mail", "claim_days": "Days to claim damage",
        }  # fmt: skip
        help_texts: ClassVar[dict[str, str]] = {
            "clock": "The time zone of their cut-offs, as Europe/London."
        }

    def clean_clock(self) -> str:
        name: str = self.cleaned_data["clock"]
        try:
            ZoneInfo(name)
        except (ZoneInfoNotFoundError, ValueError, OSError) as error:
            raise forms.ValidationError(
                f"'{name}' is no time zone; write it like Europe/London."
            ) from error
        return name


class ChannelForm(forms.Form):
    """One way to order, with the last moment of each weekday."""

    kind = forms.ChoiceField(label="How", choices=ChannelKind.choices)
    lead_days = forms.IntegerField(
        label="Lead", min_value=0, max_value=250,
        help_text="Their working days, counted from the day after the order counts.",
    )  # fmt: skip
    carriage = forms.DecimalField(
        label="Carriage (£)", min_value=0, max_digits=9, decimal_places=2, initial=Decimal("0.00")
    )
    minimum = forms.DecimalField(
        label="Least order (£)", min_value=0, max_digits=9, decimal_places=2,
        initial=Decimal("0.00"),
    )  # fmt: skip
    free_from = forms.DecimalField(
        label="Brought free from (£ of goods)", min_value=0, max_digits=9, decimal_places=2,
        required=False, help_text="Empty: never free.",
    )  # fmt: skip
    valid_from = forms.DateField(
        label="Charges hold from", widget=day_input(),
        help_text="Carriage, least order and what is brought free, until the next ones you give; "
        "orders and quotes of earlier days keep what held then.",
    )  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["lead_days"].unit = "working days"  # type: ignore[attr-defined]
        for n, name in WEEKDAYS:
            self.fields[f"cutoff_{n}"] = forms.TimeField(
                label=f"Cut-off on {name}", required=False,
                widget=forms.TimeInput({"type": "time", "step": 1}),
                help_text="An order in this very second still counts. Empty: none on that day."
                if n == "0" else "",
            )  # fmt: skip

    def cutoffs(self) -> dict[int, time | None]:
        """Return the cut-off of each weekday."""
        return {int(n): self.cleaned_data.get(f"cutoff_{n}") for n, _ in WEEKDAYS}


def channel_initial(channel: Channel, today: date) -> dict[str, Any]:
    """Return a channel as its form shows it, with the charges of today."""
    charge = channel.charges.holding(today).first()
    figures = ("carriage", "minimum", "free_from") if charge else ()
    return {
        "kind": channel.kind, "lead_days": channel.lead_days, "valid_from": today,
        **{name: getattr(charge, name) for name in figures},
        **{f"cutoff_{row.weekday}": row.wall_time for row in channel.cutoffs.all()},
    }  # fmt: skip


class ClosedDayForm(forms.Form):
    calendar = forms.ChoiceField(label="What", choices=SupplierCalendar.choices)
    day = forms.DateField(widget=day_input())
    reason = forms.CharField(max_length=60)


class PriceForm(forms.Form):
    item = forms.ModelChoiceField(queryset=Item.objects.none())
    pack_price = forms.DecimalField(
        label="Price of a pack, without VAT (£)", min_value=0, max_digits=10, decimal_places=4
    )
    from_packs = forms.IntegerField(
        label="From how many packs", min_value=1, max_value=1_000_000, initial=1
    )
    valid_from = forms.DateField(label="From", widget=day_input())
    supplier_code = forms.CharField(label="Their code", max_length=30, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["item"].queryset = Item.objects.current()  # type: ignore[attr-defined]
