"""What a migration works out of older rows is what would have been recorded at the time."""

from __future__ import annotations

from importlib import import_module

import pytest
from django.apps import apps

from stock.allocation.models import StoodIn
from stock.allocation.services import reserve_job
from stock.catalogue.models import Substitute
from stock.movements.queries import audit_stock
from tests.factories import AT, make_job, make_lot, make_requirement, make_stone
from tests.stock.movements.test_services import issue

pytestmark = pytest.mark.django_db
RECORDED = ("requirement", "lot", "quantity")
migration = import_module("stock.migrations.0004_filled")


@pytest.mark.parametrize("own_packs", [0, 2])
def test_stand_ins_of_older_books_are_recorded(own_packs: int) -> None:
    asked, other = make_stone(name="Asked for", code="ASKED"), make_stone(name="Other")
    Substitute.objects.create(item=asked, stand_in=other)
    job = make_job(stage="won")
    make_requirement(job, asked, 3)
    if own_packs:
        make_requirement(job, other, own_packs)
    make_lot(other, 3 + own_packs)
    reserve_job(job_id=job.pk, by=None, at=AT)
    issue(job)
    recorded = list(StoodIn.objects.values_list(*RECORDED))
    assert recorded
    StoodIn.objects.all().delete()
    assert not audit_stock().ok

    migration.fill_stand_ins(apps, None)

    assert list(StoodIn.objects.values_list(*RECORDED)) == recorded
    assert audit_stock().ok
