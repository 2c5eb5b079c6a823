import pytest

from quotes.engine import guards as subject
from quotes.engine.errors import ModelError


@pytest.mark.parametrize("value", [float("nan"), float("inf"), True, "3", None, 1j])
def test_only_finite_numbers_are_numbers(value):
    with pytest.raises(ModelError) as refused:
        subject.finite(value, "depth")
    assert (refused.value.code, refused.value.where) == ("not_a_number", "depth")


def test_both_ends_of_a_range_are_within():
    assert subject.between(0, "x", 0, 40) == 0
    assert subject.between(40, "x", 0, 40) == 40
    with pytest.raises(ModelError) as refused:
        subject.between(40.5, "x", 0, 40, "°C")
    assert refused.value.message == "40.5 °C is out of range; accepted: 0 to 40 °C"


def test_nought_is_not_positive_but_not_negative():
    assert subject.not_negative(0, "x") == 0
    with pytest.raises(ModelError) as refused:
        subject.positive(0, "x", "kg")
    assert refused.value.message == "0 kg is not positive; accepted: more than 0"
    with pytest.raises(ModelError):
        subject.not_negative(-1e-12, "x")


@pytest.mark.parametrize("value", [2.0, True, "2", 0])
def test_a_count_is_a_whole_number(value):
    assert subject.whole(2, "mixers", 1) == 2
    with pytest.raises(ModelError) as refused:
        subject.whole(value, "mixers", 1)
    assert refused.value.code == "not_whole"
