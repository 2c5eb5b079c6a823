"""Filters of the list of reorder suggestions."""

from __future__ import annotations

import django_filters

from stock.catalogue.enums import ItemKind
from stock.reorder.enums import SuggestionState
from stock.reorder.models import Suggestion


class SuggestionFilter(django_filters.FilterSet):
    """By state and by kind of item."""

    state = django_filters.ChoiceFilter(
        label="State", choices=SuggestionState.choices, empty_label="any state"
    )
    kind = django_filters.ChoiceFilter(
        label="Kind", field_name="item__kind", choices=ItemKind.choices, empty_label="any kind"
    )

    class Meta:
        model = Suggestion
        fields = ("state", "kind")
