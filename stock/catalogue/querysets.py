"""Named reads of items, blends and places."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db.models import QuerySet, Sum
from django.db.models.functions import Coalesce

from stock.catalogue.enums import PlaceKind

if TYPE_CHECKING:
    from stock.catalogue.models import Blend, Item, Place  # noqa: F401


class ItemQuerySet(QuerySet["Item"]):
    """Reads of items."""

    def current(self) -> ItemQuerySet:
        """Leave out items that were put away."""
        return self.filter(archived_at=None)

    def for_list(self) -> ItemQuerySet:
        """Return items with `on_hand` and `reserved`, summed over their lots."""
        return self.annotate(
            on_hand=Coalesce(Sum("lots__on_hand"), 0), reserved=Coalesce(Sum("lots__reserved"), 0)
        ).order_by("kind", "name", "pk")


class BlendQuerySet(QuerySet["Blend"]):
    """Reads of blend cards."""

    def current(self) -> BlendQuerySet:
        """Leave out cards that were put away."""
        return self.filter(archived_at=None)

    def for_list(self) -> BlendQuerySet:
        """Return cards with their kit and what goes in."""
        return self.select_related("kit").prefetch_related("components__item").order_by("name")


class PlaceQuerySet(QuerySet["Place"]):
    """Reads of places."""

    def own(self) -> PlaceQuerySet:
        """Keep bays and vans: places that people name."""
        return self.filter(kind__in=(PlaceKind.BAY, PlaceKind.VAN))
