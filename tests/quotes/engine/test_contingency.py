from decimal import Decimal

import pytest

from quotes.engine.contingency import cheapest, spare_options, weigh
from quotes.engine.errors import EngineError
from quotes.engine.risk import CommonErrors, Job, SessionDemand

JOB = Job(
    [
        SessionDemand(((31.5, 0.02, 0.3),), 1778.0, 9.9, 10),
        SessionDemand(((15.0, 0.02, 0.2),), 1778.0, 4.6, 5),
    ],
    CommonErrors(0.0011, 30.0),
)


def test_each_spare_goes_to_the_likeliest_and_lowers_the_chance() -> None:
    options = spare_options(JOB, 4)
    assert [each.spares for each in options] == [0, 1, 2, 3, 4]
    assert options[1].by_session == (1, 0)
    chances = [each.probability_short for each in options]
    assert chances == sorted(chances, reverse=True)
    needed = sum(JOB.spares_for())
    assert options[needed].probability_short <= 0.05 < options[needed - 1].probability_short


def test_an_unopened_kit_comes_back_as_often_as_nothing_ran_short() -> None:
    options = spare_options(JOB, 2)
    assert options[1].expected_unopened == pytest.approx(1 - JOB.session_short(0))


def test_both_costs_stand_beside_one_another_and_the_cheapest_follows() -> None:
    options = spare_options(JOB, 6)
    dear = weigh(options, unopened_spare=Decimal("12.50"), running_short=Decimal(900))
    free = weigh(options, unopened_spare=Decimal(400), running_short=Decimal(1))
    assert dear[0].cost_of_spares == 0
    assert dear[0].total == dear[0].cost_of_short
    assert cheapest(free).option.spares == 0
    assert cheapest(dear).option.spares > 0
    assert dear[1].cost_of_spares == Decimal("12.50") * Decimal(repr(options[1].expected_unopened))


def test_unusable_figures_are_refused() -> None:
    with pytest.raises(EngineError):
        spare_options(JOB, -1)
    with pytest.raises(EngineError):
        weigh(spare_options(JOB, 1), unopened_spare=Decimal(-1), running_short=Decimal(1))
