"""The bells find what came, by their stable names."""

from __future__ import annotations

import pytest
from celery import current_app
from django.conf import settings

from jobs.kernel.models import TaskRun
from stock.conditions.models import Excursion
from stock.conditions.tasks import check, sweep
from tests.factories import make_lot, make_place
from tests.stock.conditions.world import hot, make_resin, read

pytestmark = pytest.mark.django_db


def test_the_sweep_finds_what_a_lost_bell_left_and_says_so() -> None:
    bay = make_place()
    make_lot(make_resin(), place=bay)
    read(bay, hot(5))
    sweep()
    assert Excursion.objects.count() == 1
    assert TaskRun.objects.get().outcome == "1 excursions new or longer; 0 files forgotten"


def test_the_bell_of_one_place_checks_that_place() -> None:
    places = [make_place(), make_place()]
    for bay in places:
        make_lot(make_resin(), place=bay)
        read(bay, hot(5))
    check(places[0].pk)
    assert [row.place for row in Excursion.objects.all()] == places[:1]


def test_both_are_known_by_name_and_the_sweep_is_rung() -> None:
    import stock.tasks  # noqa: F401

    assert {"stock.conditions.check", "stock.conditions.sweep"} <= set(current_app.tasks)
    rung = {entry["task"] for entry in settings.CELERY_BEAT_SCHEDULE.values()}
    assert "stock.conditions.sweep" in rung
