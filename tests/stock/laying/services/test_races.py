"""Two phones at once, on PostgreSQL; the control differs only in that it takes no lock."""

from __future__ import annotations

import threading
from contextlib import suppress
from typing import Any
from uuid import uuid4

import pytest
from django.db import IntegrityError, connections

from stock.laying.models import LayBay, Mix
from stock.laying.services import log_mix
from tests.factories import AT
from tests.stock.laying.world import Site, make_site_with, open_day

pytestmark = [pytest.mark.postgres, pytest.mark.django_db(transaction=True)]
PHONES = 6


def race(site: Site, uids: list[Any], *, lock: bool) -> list[Any]:
    """Tap on as many phones as there are uids at the same moment; what each got."""
    barrier = threading.Barrier(len(uids))
    answers: list[Any] = []
    assert site.day is not None
    day, bay = site.day.pk, site.bays[0].pk

    def press(uid: Any) -> None:
        try:
            barrier.wait(5)
            mix = log_mix(
                lay_day_id=day, bay_id=bay, uid=uid, started_at=AT, by=None, at=AT, lock=lock
            )
            answers.append(mix.number)
        except IntegrityError as error:
            answers.append(error)
        finally:
            connections.close_all()

    threads = [threading.Thread(target=press, args=(uid,)) for uid in uids]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(30)
    return answers


@pytest.mark.parametrize("lock", [True, False])
def test_two_phones_number_mixes_without_a_gap(lock: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    site = make_site_with(PHONES)
    open_day(site)
    meet = threading.Barrier(PHONES)
    for_page = LayBay.objects.for_page

    def slowly(day: Any) -> Any:
        # All have looked for the day before any numbers its mix, unless the lock keeps them.
        with suppress(threading.BrokenBarrierError):
            meet.wait(timeout=1)
        return for_page(day)

    monkeypatch.setattr(LayBay.objects, "for_page", slowly)
    answers = race(site, [uuid4() for _ in range(PHONES)], lock=lock)
    if lock:
        assert sorted(answers) == list(range(1, PHONES + 1))
        assert site.left("kit") == 0
    else:
        # Unguarded, several take the same number and the database refuses all but one of them.
        assert any(isinstance(answer, IntegrityError) for answer in answers)


def test_a_tap_that_arrives_twice_at_once_is_one_mix() -> None:
    site = make_site_with(2)
    open_day(site)
    assert race(site, [uuid4()] * 4, lock=True) == [1, 1, 1, 1]
    assert (Mix.objects.count(), site.left("kit")) == (1, 1)
