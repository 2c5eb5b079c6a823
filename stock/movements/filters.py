"""Filters of the list of postings."""

from __future__ import annotations

import django_filters
from django import forms

from stock.ledger.enums import PostingKind
from stock.ledger.models import Posting


class PostingFilter(django_filters.FilterSet):
    """By kind and by day."""

    kind = django_filters.ChoiceFilter(
        label="What", choices=PostingKind.choices, empty_label="anything"
    )
    day = django_filters.DateFilter(
        label="For the day", widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d")
    )

    class Meta:
        model = Posting
        fields = ("kind", "day")
