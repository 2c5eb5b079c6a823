from quotes.engine import cautions_site as subject
from quotes.engine.cautions import for_customer, registered
from quotes.engine.handling import check_lift
from quotes.engine.moisture import surface_gate
from quotes.engine.planning import Layer, PlanningFacts, planning_question
from quotes.engine.vibration import Use, daily_exposure

CONCRETE = (Layer("concrete", porous=False),)


def test_dust_silica_and_isocyanates_defer_to_the_safety_data_sheet():
    kinds = {kind.code: kind for kind in registered()}
    for code in ("site_silica", "site_isocyanates", "site_dust"):
        assert "ollow the safety data sheet" in kinds[code].sentence
        assert kinds[code].audience == "firm"


def test_a_day_is_reminded_only_of_what_it_does():
    codes = [c.code for c in subject.work_cautions(cutting=True, resin=False, dry_fillers=False)]
    assert codes == ["site_silica"]
    assert subject.work_cautions(cutting=False, resin=False, dry_fillers=False) == ()


def test_a_gate_says_what_failed_and_what_would_do():
    gate = surface_gate(10, 90, 10, 0)
    said = subject.gate_cautions(gate, 90, (3, 85))
    assert [c.code for c in said] == ["surface_near_dew", "air_too_damp", "base_not_dry"]
    assert {c.level for c in said} == {"stop"}
    assert "1.6 °C above the dew point" in said[0].message
    assert "from a surface of 11.4 °C" in said[0].message
    assert "90 % is not below the limit of 85 %" in said[1].message


def test_a_gate_that_passes_says_nothing():
    gate = surface_gate(15, 60, 15, 1e6)
    assert subject.gate_cautions(gate, 60, (3, 85)) == ()


def test_vibration_speaks_from_the_action_value():
    assert subject.vibration_cautions(daily_exposure([Use("tool", 2, 3600)])) == ()
    (action,) = subject.vibration_cautions(daily_exposure([Use("tool", 10, 3600)]))
    (limit,) = subject.vibration_cautions(daily_exposure([Use("tool", 10, 3 * 3600)]))
    assert (action.level, limit.level) == ("sign", "stop")
    assert "3.54 m/s² A(8) (200 points)" in action.message


def test_a_lift_that_passes_says_nothing():
    assert subject.lift_cautions("A bag", check_lift(10, [("knuckle", "close")])) == ()
    (said,) = subject.lift_cautions("A bag", check_lift(30, [("knuckle", "close")]))
    assert "filter of 25 kg" in said.message


def test_the_customer_sees_that_permission_is_needed_but_not_our_questions():
    answer = planning_question(
        PlanningFacts("england", True, 30, CONCRETE, False, None, False, False)
    )
    said = subject.planning_cautions(answer)
    assert [c.code for c in said] == ["planning_needed", "planning_question"]
    assert [c.code for c in for_customer(said)] == ["planning_needed"]


def test_a_doubt_is_told_as_one():
    answer = planning_question(
        PlanningFacts("wales", True, 30, CONCRETE, False, False, False, False)
    )
    assert [c.code for c in subject.planning_cautions(answer)] == ["planning_unclear"]
