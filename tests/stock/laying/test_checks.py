"""What the yard knows of a surface reaches the messages: the printed times of the job's kits."""

from __future__ import annotations

from typing import Any

import pytest

from jobs.kernel.registries import MESSAGE_FACTS, SurfaceTimes
from stock.laying.checks import kit_times
from tests.factories import make_job, make_kit, make_requirement, make_stone

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("count", [1, 3])
def test_each_kit_for_laying_says_its_times_in_one_query(
    count: int, django_assert_num_queries: Any
) -> None:
    job = make_job()
    kits = [make_kit(foot_min_20c=720, vehicle_min_20c=2880) for _ in range(count)]
    for kit in kits:
        make_requirement(job, kit, 4)
        make_requirement(job, kit, 2, colour_group="grey")
    make_requirement(job, make_stone(), 9)
    make_requirement(job, make_kit(foot_min_20c=9_999), 1, phase="prepare")
    make_requirement(make_job(), make_kit(foot_min_20c=9_999), 1)
    assert kit_times in MESSAGE_FACTS
    with django_assert_num_queries(1):
        found = list(kit_times(job))
    assert sorted(found, key=lambda row: row.name) == sorted(
        (SurfaceTimes(kit.name, 720, 2880) for kit in kits), key=lambda row: row.name
    )


def test_a_kit_that_prints_nothing_says_so() -> None:
    job = make_job()
    make_requirement(job, make_kit(), 1)
    [found] = kit_times(job)
    assert (found.foot_minutes, found.vehicle_minutes) == (None, None)
