"""Spare mixes for a chosen risk."""

from __future__ import annotations

import pytest

from quotes.engine.risk import CommonErrors, Job, SessionDemand
from quotes.takeoff.rules import spare_rows


def job(area: float = 21.08, mixes: float = 8) -> Job:
    exact = area * 0.020 * 1778 * 1.05 / 112
    demand = SessionDemand(((area, 0.020, area / 100),), 1778.0, exact, mixes)
    return Job([demand], CommonErrors(0.001118, 30.0))


def test_a_smaller_risk_never_asks_for_fewer_spares() -> None:
    now, ten, five, one = spare_rows(job(mixes=7), taken=0)

    assert now.words == "taken along now"
    assert now.chosen
    counts = []
    for row in (ten, five, one):
        assert row.option is not None
        assert row.risk is not None
        assert row.option.probability_short <= row.risk
        counts.append(row.option.spares)
    assert counts == sorted(counts)
    assert counts[-1] >= 1


def test_what_is_taken_along_lowers_its_own_row() -> None:
    none, two = spare_rows(job(mixes=7), taken=0)[0], spare_rows(job(mixes=7), taken=2)[0]

    assert two.percent < none.percent
    assert two.option is not None
    assert two.option.spares == 2


def test_a_job_that_wants_more_than_two_hundred_says_so() -> None:
    area = 90_000.0
    exact = area * 0.020 * 1778 * 1.05 / 112
    large = job(area, mixes=float(int(exact) + 1))

    rows = spare_rows(large, taken=3)

    assert [row.option is None for row in rows] == [False, True, True, True]
    assert rows[1].percent == pytest.approx(0.0)
