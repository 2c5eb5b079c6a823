"""The front-garden planning rule as published, against the engine's question."""

import pytest

from quotes.engine.planning import Layer, PlanningFacts, planning_question
from quotes.engine.water import POROUS_BASES, contributing_ratio
from tests.outside.sources import fact

GUIDANCE = (
    "https://www.gov.uk/government/publications/permeable-surfacing-of-front-gardens-guidance/"
    "guidance-on-the-permeable-surfacing-of-front-gardens"
)
CLASS_F = "https://www.planningpolicy.co.uk/policy/permitted-development/class-f"


def answer(area, *, porous, drains=False, front=True):
    layers = (Layer("surface", porous=True), Layer("base", porous=porous))
    facts = PlanningFacts(
        nation="england",
        front=front,
        area=area,
        layers=layers,
        drains_on_plot=drains,
        listed=False,
        article_4=False,
        dropped_kerb=False,
    )
    return planning_question(facts).answer


@fact(rows=1, source=GUIDANCE, mark="seen")
@pytest.mark.parametrize("area", [4, 6, 60, 600])
def test_a_porous_drive_of_any_size_is_free(area):
    """No permission for a drive of any size if it is porous, or drains to a lawn or border."""
    assert answer(area, porous=True) == "not needed"
    assert answer(area, porous=False, drains=True) == "not needed"


@fact(rows=1, source=GUIDANCE, mark="seen")
def test_more_than_five_square_metres_means_more():
    """Permission for impermeable surfacing of more than 5 m² that does not drain to a border."""
    assert answer(5.00, porous=False) == "not needed"
    assert answer(5.01, porous=False) == "needed"


@fact(rows=1, source=CLASS_F, mark="seen")
@pytest.mark.parametrize("front", [True, False])
@pytest.mark.parametrize("area", [5.0, 5.5])
@pytest.mark.parametrize("porous", [True, False])
@pytest.mark.parametrize("drains", [True, False])
def test_class_f_bites_only_where_all_four_meet(front, area, porous, drains):
    """Front, more than 5 m² laid or replaced, not porous, not drained within the curtilage."""
    needed = front and area > 5 and not porous and not drains
    found = answer(area, porous=porous, drains=drains, front=front)
    assert found == ("needed" if needed else "not needed")


@fact(
    rows=1,
    source=(
        "https://richmond.gov.uk/services/roads_and_transport/pavements/dropped_kerbs/"
        "permeable_paving_guidance"
    ),
    mark="seen",
)
def test_impermeable_ground_may_be_twice_the_permeable():
    """Impermeable to permeable contributing ratio normally at most 2 : 1."""
    assert contributing_ratio(40, 20) == (2.0, True)
    assert contributing_ratio(41, 20)[1] is False


@fact(
    rows=1,
    source="http://floodsense.co.uk/solutions/outdoor-flood-resilience/",
    mark="seen",
)
def test_a_type_1_sub_base_is_not_porous():
    """Type 1 is relatively impermeable; a porous surface wants an open-graded sub-base."""
    assert POROUS_BASES["type 1 sub-base"] is False
    assert POROUS_BASES["open-graded stone"] is True
    assert answer(30, porous=POROUS_BASES["type 1 sub-base"]) == "needed"
