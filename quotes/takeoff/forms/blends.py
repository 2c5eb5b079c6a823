"""Choosing blends and settings of a take-off."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms

from jobs.surveys.models import ColourGroup
from quotes.takeoff.services import MOST_SPARES
from stock.catalogue.models import Blend


class BlendForm(forms.Form):
    """One blend for each colour group, and what the take-off reckons with."""

    waste_percent = forms.DecimalField(
        label="waste", min_value=0, max_value=100, decimal_places=2,
        help_text="expected loss in mixer, barrow and at the edges; it is no reserve",
        widget=forms.TextInput(attrs={"inputmode": "decimal"}),
    )  # fmt: skip
    air_c = forms.DecimalField(
        label="air", min_value=-30, max_value=50, decimal_places=1,
        help_text="for working and curing times",
        widget=forms.TextInput(attrs={"inputmode": "decimal"}),
    )  # fmt: skip
    spare_mixes = forms.IntegerField(
        label="spare mixes taken along", min_value=0, max_value=MOST_SPARES,
        help_text="an unopened kit comes back; running short leaves a joint for ever",
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
    )  # fmt: skip
    part_mixes = forms.BooleanField(
        label="a part mix at the end of a pour",
        required=False,
        help_text="both parts of the kit must then be weighed out in their ratio",
    )

    def __init__(self, *args: Any, groups: Sequence[ColourGroup], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["waste_percent"].unit, fields["air_c"].unit = "%", "°C"
        blends = Blend.objects.filter(archived_at=None)
        chosen = {
            f"g{group.pk}": forms.ModelChoiceField(
                label=f"blend for {group.name}", queryset=blends, empty_label="choose a blend"
            )
            for group in groups
        }
        self.fields = chosen | fields

    @property
    def blends(self) -> dict[int, int]:
        """Colour group -> blend, as the service takes it."""
        return {
            int(name[1:]): value.pk
            for name, value in self.cleaned_data.items()
            if name.startswith("g") and name[1:].isdigit()
        }

    @property
    def settings(self) -> dict[str, Any]:
        """The other values, as the service takes them."""
        names = ("waste_percent", "air_c", "spare_mixes", "part_mixes")
        return {name: self.cleaned_data[name] for name in names}
