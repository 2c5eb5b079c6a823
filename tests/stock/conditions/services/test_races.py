"""Several workers check one place at once: one excursion, one hold; the control shows the race."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError

from jobs.audit.models import Event
from jobs.kernel.errors import ServiceError
from stock.catalogue.models import Place
from stock.conditions.models import Excursion, Reading
from stock.conditions.services import add_reading, check_place
from tests.factories import AT, make_lot, make_place
from tests.stock.conditions.world import hot, make_resin, read
from tests.stock.movements.test_races import all_at_once

WORKERS = 6


def hot_place() -> Place:
    bay = make_place()
    for _ in range(3):
        make_lot(make_resin(), 10, place=bay)
    read(bay, hot(5))
    return bay


def check_by_all(place: Place, *, lock: bool) -> list[Any]:
    works = [lambda: check_place(place_id=place.pk, at=AT, lock=lock)] * WORKERS
    return all_at_once(works)


@pytest.mark.django_db(transaction=True)
def test_one_worker_finds_it_and_the_others_find_it_done() -> None:
    """Also on SQLite, where the writers wait for each other."""
    answers = check_by_all(hot_place(), lock=True)
    assert sorted(answers) == [0] * (WORKERS - 1) + [3]
    assert Excursion.objects.count() == 3
    assert Event.objects.filter(verb="stock.hold").count() == 3


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_the_control_without_the_claim_collides() -> None:
    answers = check_by_all(hot_place(), lock=False)
    collided = [one for one in answers if isinstance(one, IntegrityError | ServiceError)]
    assert collided or sum(answers) > 3


@pytest.mark.django_db(transaction=True)
def test_one_reading_typed_by_many_at_once_is_one() -> None:
    bay = make_place()
    works = [
        lambda: add_reading(
            place_id=bay.pk, celsius=Decimal("31.00"), humidity=None,
            measured_at=AT, by=None, at=AT,
        )
    ] * WORKERS  # fmt: skip
    assert len({one.pk for one in all_at_once(works)}) == 1
    assert Reading.objects.count() == 1
