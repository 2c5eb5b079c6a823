"""What is typed to draft, change, confirm and cancel an order."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django import forms

from jobs.kernel.forms import OnceForm
from jobs.work.models import Job
from stock.catalogue.models import Item
from stock.ordering.models import Shortage
from stock.ordering.queries.shortages import WANTING
from stock.ordering.rules.goods import MOST_PACKS
from stock.ordering.rules.words import ChannelMoment, moment_text
from stock.suppliers.models import Channel


def day_input() -> forms.DateInput:
    return forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class DraftForm(OnceForm):
    """On which channel, and for which shortages: those that its supplier may end."""

    channel = forms.TypedChoiceField(label="Order from", coerce=int, widget=forms.RadioSelect)
    shortages = forms.TypedMultipleChoiceField(
        label="For", coerce=int, widget=forms.CheckboxSelectMultiple
    )

    def __init__(self, *args: Any, rows: Sequence[Shortage], at: datetime, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choices: dict[int, str] = {}
        for row in rows:
            for moment in row.facts.moments:
                choices.setdefault(moment.channel_id, channel_words(moment, at))
        self.fields["channel"].choices = list(choices.items())  # type: ignore[attr-defined]
        self.fields["shortages"].choices = [  # type: ignore[attr-defined]
            (row.pk, f"{row.facts.title.removeprefix('Order ')}: {row.facts.why}") for row in rows
        ]


def channel_words(moment: ChannelMoment, at: datetime) -> str:
    """Say a channel with its last moment: 'online from Orrford Quarry, until 11:45'."""
    said = f"{moment.way} from {moment.supplier}"
    if moment.order_by is None:
        return f"{said}, never in time"
    if not moment.is_open(at):
        return f"{said}, too late since {moment_text(moment.order_by, at)}"
    return f"{said}, until {moment_text(moment.order_by, at)}"


class StartForm(forms.Form):
    """From whom to order for the yard."""

    channel = forms.ModelChoiceField(
        label="Order from", queryset=Channel.objects.filter(supplier__archived_at=None)
        .select_related("supplier").order_by("supplier__name", "kind"),
    )  # fmt: skip


class LineForm(forms.Form):
    """Packs and the agreed price of one."""

    packs = forms.IntegerField(
        label="Packs", min_value=1, max_value=MOST_PACKS,
        widget=forms.NumberInput({"class": "short", "inputmode": "numeric"}),
    )  # fmt: skip
    pack_price = forms.DecimalField(
        label="Price of a pack (£, without VAT)", min_value=0, max_digits=10, decimal_places=4,
        widget=forms.NumberInput({"class": "short", "inputmode": "decimal"}),
    )  # fmt: skip


class NewLineForm(forms.Form):
    """An item for the yard, or for a job."""

    item = forms.ModelChoiceField(
        label="Item", queryset=Item.objects.filter(archived_at=None).order_by("kind", "name")
    )
    packs = forms.IntegerField(
        label="Packs", min_value=1, max_value=MOST_PACKS,
        widget=forms.NumberInput({"class": "short", "inputmode": "numeric"}),
    )  # fmt: skip
    job = forms.ModelChoiceField(
        label="For a job", required=False, empty_label="for the yard",
        queryset=Job.objects.filter(stage__in=WANTING).order_by("reference"),
    )  # fmt: skip
    colour_group = forms.CharField(label="Colour group", required=False, max_length=40)


class ConfirmForm(forms.Form):
    """What the supplier said."""

    supplier_reference = forms.CharField(label="Their reference", required=False, max_length=40)
    expected_on = forms.DateField(
        label="Promised for", required=False, widget=day_input(),
        help_text="Leave it as it is if they named no other day.",
    )  # fmt: skip


class CancelForm(forms.Form):
    """Why an order is cancelled."""

    reason = forms.CharField(label="Why", max_length=200, widget=forms.Textarea({"rows": 2}))


class AnywayForm(forms.Form):
    """Why goods are ordered before the money came."""

    reason = forms.CharField(
        label="Why is it ordered all the same?", max_length=200,
        widget=forms.Textarea({"rows": 2}),
    )  # fmt: skip
