"""One run of stone and one batch of kits that went many ways."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any
from uuid import uuid4

from stock.catalogue.models import Place
from stock.laying.services import mark_spilt, undo_mix
from stock.ledger.models import Lot
from stock.movements.services import (
    ReturnRow,
    count_place,
    return_from_site,
    transfer_stock,
    waste_stock,
)
from tests.factories import AT, DAY, make_lot, make_place
from tests.stock.laying.world import BAG, Site, make_site_with, open_day, tap


@dataclass
class Spread:
    """A run of which some is laid, spilt, brought back, wasted, lost, in a van, at a site."""

    site: Site
    stone: Lot
    second: Lot
    van: Place

    @property
    def job(self) -> Any:
        return self.site.job


def spread() -> Spread:
    """Four mixes of stone (16 bags), and a second lot of the same run in the yard."""
    site = make_site_with(4)
    stone = site.lots["stone"]
    bay = make_place()
    second = make_lot(stone.item, 10, run=stone.run, place=bay)
    open_day(site, bays=2)
    tap(site)
    tap(site, bay_id=site.bays[1].pk)
    mark_spilt(mix_id=tap(site).pk, by=None, at=AT)
    undo_mix(mix_id=tap(site).pk, by=None, at=AT)
    return_from_site(
        job_id=site.job.pk, place_id=bay.pk, key=uuid4(), day=DAY, by=None, at=AT,
        rows=[ReturnRow(stone.pk, 2 * BAG), ReturnRow(stone.pk, 5_000, opened=True)],
    )  # fmt: skip
    van = make_place("van")
    transfer_stock(
        lot_id=second.pk, from_place_id=bay.pk, to_place_id=van.pk, quantity=3 * BAG, key=uuid4(),
        day=DAY, by=None, at=AT,
    )  # fmt: skip
    waste_stock(
        lot_id=second.pk, place_id=bay.pk, quantity=BAG, reason="torn", key=uuid4(), day=DAY,
        by=None, at=AT,
    )  # fmt: skip
    count_place(place_id=bay.pk, counted={second.pk: 5 * BAG}, key=uuid4(), by=None, at=AT)
    return Spread(site, Lot.objects.get(pk=stone.pk), Lot.objects.get(pk=second.pk), van)
