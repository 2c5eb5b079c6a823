import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.engine import grading as subject
from quotes.engine.errors import BlendError, EngineError

SIEVES = (8.0, 4.0, 2.0, 1.0, 0.5)
percents = st.lists(st.integers(0, 100), min_size=5, max_size=5).map(
    lambda values: sorted(values, reverse=True)
)
gradings = percents.map(lambda values: subject.grading("g", dict(zip(SIEVES, values, strict=True))))
STONE = subject.grading("stone", {8: 100, 4: 60, 2: 5, 1: 0})
SAND = subject.grading("sand", {2: 100, 1: 70, 0.5: 20, 0.25: 0})


@given(parts=st.lists(st.tuples(st.integers(1, 50), gradings), min_size=1, max_size=5))
def test_combining_agrees_with_a_matrix_product(parts):
    weights = np.array([float(w) for w, _ in parts])
    table = np.array([[p for _, p in g.passing] for _, g in parts])
    expected = weights / weights.sum() @ table
    found = subject.combine_masses([(float(w), g) for w, g in parts])
    np.testing.assert_allclose([p for _, p in found.passing], expected, atol=1e-9)


@given(parts=st.lists(st.tuples(st.integers(1, 50), gradings), min_size=2, max_size=5))
def test_the_order_of_the_parts_does_not_matter(parts):
    forward = subject.combine_masses(parts)
    backward = subject.combine_masses(parts[::-1])
    np.testing.assert_allclose(forward.passing, backward.passing, atol=1e-9)


def test_sieves_of_all_parts_are_told():
    blend = subject.combine([(0.75, STONE), (0.25, SAND)])
    assert blend.sieves == (8, 4, 2, 1, 0.5, 0.25)
    assert dict(blend.passing)[2] == pytest.approx(0.75 * 5 + 25)
    assert dict(blend.passing)[0.5] == pytest.approx(5)


@pytest.mark.parametrize("shares", [(0.5, 0.49), (0.5, 0.51), (1.0, 0.0001)])
def test_shares_that_do_not_make_the_whole_are_refused(shares):
    with pytest.raises(BlendError) as refused:
        subject.combine([(shares[0], STONE), (shares[1], SAND)])
    assert refused.value.code == "not_whole"
    assert f"{100 * sum(shares):.4g} %" in refused.value.message


def test_passing_between_sieves_runs_straight_over_the_log():
    assert subject.passing_at(STONE, 4) == 60
    assert subject.passing_at(STONE, 2 * 2**0.5) == pytest.approx(32.5)
    assert subject.passing_at(STONE, 20) == 100
    assert subject.passing_at(STONE, 0.1) == 0


def test_what_the_sheet_does_not_tell_is_refused():
    open_ended = subject.grading("open", {4: 90, 2: 10})
    for sieve in (8, 1):
        with pytest.raises(BlendError) as refused:
            subject.passing_at(open_ended, sieve)
        assert refused.value.code == "unknown_sieve"


@given(one=gradings)
def test_the_fineness_modulus_is_the_sum_of_what_is_retained(one):
    found = subject.fineness_modulus(one, SIEVES)
    assert found.modulus == pytest.approx(sum(100 - p for _, p in one.passing) / 100)


def test_sieves_finer_than_the_last_count_in_full():
    coarse = subject.grading("coarse", {4: 100, 2: 0})
    assert subject.fineness_modulus(coarse).modulus == pytest.approx(5)
    assert subject.fineness_modulus(coarse, (4, 2)).modulus == pytest.approx(1)


def test_an_envelope_names_the_sieves_that_fail():
    envelope = [subject.Limits(4, 62, 80), subject.Limits(2, 0, 10), subject.Limits(1, 0, 5)]
    found = subject.check_envelope(STONE, envelope)
    assert not found.passes
    assert found.binding == (4,)
    assert found.rows[0].outside == pytest.approx(-2)


def test_a_limit_just_met_is_met_and_binds():
    found = subject.check_envelope(
        STONE, [subject.Limits(4, 60, 80), subject.Limits(2, 0, 20), subject.Limits(8, 90, 100)]
    )
    assert found.passes
    assert found.binding == (4, 8)


def test_retained_masses_become_passing():
    found = subject.from_retained("a", {4: 20, 2: 60}, pan=20)
    assert found.passing == ((4, pytest.approx(80)), (2, pytest.approx(20)))


@pytest.mark.parametrize(
    ("call", "code"),
    [
        (lambda: subject.grading("g", {}), "empty"),
        (lambda: subject.grading("g", {4: 50, 2: 60}), "rising_passing"),
        (lambda: subject.grading("g", {4: 101}), "out_of_range"),
        (lambda: subject.grading("g", {0: 10}), "not_positive"),
        (lambda: subject.from_retained("g", {4: -1}), "negative"),
        (lambda: subject.from_retained("g", {4: 0}), "not_positive"),
        (lambda: subject.check_envelope(STONE, []), "empty"),
        (lambda: subject.check_envelope(STONE, [subject.Limits(4, 60, 50)]), "bad_order"),
        (lambda: subject.combine_masses([(0, STONE)]), "not_positive"),
    ],
)
def test_what_cannot_be_is_refused(call, code):
    with pytest.raises(EngineError) as refused:
        call()
    assert refused.value.code == code
