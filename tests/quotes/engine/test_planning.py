from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.engine import planning as subject
from quotes.engine.errors import ModelError

SOLID = (subject.Layer("resin-bound surface", porous=True), subject.Layer("concrete", porous=False))
OPEN = (subject.Layer("resin-bound surface", porous=True), subject.Layer("soil", porous=True))
BAD = subject.PlanningFacts(
    nation="england",
    front=True,
    area=30,
    layers=SOLID,
    drains_on_plot=False,
    listed=False,
    article_4=False,
    dropped_kerb=False,
)


def ask(**changed):
    return subject.planning_question(replace(BAD, **changed))


def test_an_overlay_on_concrete_at_the_front_needs_permission():
    assert ask().answer == "needed"
    assert ask().questions == ()


def test_five_square_metres_are_still_free():
    assert ask(area=5.0).answer == "not needed"
    assert ask(area=5.01).answer == "needed"


@pytest.mark.parametrize(
    "changed",
    [{"front": False}, {"layers": OPEN}, {"drains_on_plot": True}, {"area": 4.9}],
)
def test_each_of_the_four_grounds_alone_frees_it(changed):
    found = ask(**changed)
    assert found.answer == "not needed"
    assert found.settled
    assert len(found.reasons) == 1


@pytest.mark.parametrize(
    "changed",
    [
        {"nation": "wales"},
        {"nation": "scotland"},
        {"nation": None},
        {"listed": True},
        {"article_4": True},
        {"house": False},
    ],
)
def test_what_leaves_the_ordinary_rule_is_for_the_authority(changed):
    assert ask(layers=OPEN, **changed).answer == "ask"
    assert ask(**changed).answer == "ask"


@pytest.mark.parametrize(
    ("changed", "question"),
    [
        ({"nation": None}, "Which nation is the site in?"),
        ({"front": None}, "Is it between the front of the house and a highway?"),
        ({"layers": ()}, "Is every layer down to the soil porous?"),
        ({"drains_on_plot": None}, "Is the water led to a lawn, border or soakaway on the plot?"),
        ({"listed": None}, "Is the building listed?"),
        ({"article_4": None}, "Is there an Article 4 direction or a conservation area?"),
        ({"dropped_kerb": None}, "Is a new or wider dropped kerb wanted?"),
    ],
)
def test_what_is_not_known_is_asked(changed, question):
    found = ask(**changed)
    assert question in found.questions
    assert not found.settled


def test_an_unknown_that_cannot_matter_does_not_hold_the_answer_up():
    assert ask(area=3, layers=(), drains_on_plot=None).answer == "not needed"
    assert ask(layers=(), drains_on_plot=None).answer == "ask"


def test_a_new_dropped_kerb_is_another_application():
    assert ask(dropped_kerb=True).answer == "needed"
    assert "separate application" in ask(dropped_kerb=True).questions[0]


def test_one_layer_that_stops_water_closes_the_build_up():
    unknown = subject.Layer("sub-base", porous=None)
    assert subject.build_up_is_porous([*OPEN, unknown]) is None
    assert subject.build_up_is_porous([*SOLID, unknown]) is False
    assert subject.build_up_is_porous([]) is None


@given(
    front=st.booleans(),
    area=st.floats(0.1, 100),
    porous=st.booleans(),
    drains=st.booleans(),
)
def test_the_whole_rule_as_one_line(front, area, porous, drains):
    found = ask(front=front, area=area, layers=OPEN if porous else SOLID, drains_on_plot=drains)
    needed = front and area > 5 and not porous and not drains
    assert found.answer == ("needed" if needed else "not needed")


def test_an_area_of_nothing_is_refused():
    with pytest.raises(ModelError):
        ask(area=0)
