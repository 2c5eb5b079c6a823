import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.engine import sizes as subject
from quotes.engine.errors import BlendError


@pytest.mark.parametrize(
    ("written", "shown"),
    [("2/6.3", "2/6.3"), ("2/6", "2/6.3"), ("0/2 mm", "0/2"), ("20/32", "20/31.5"), ("1/4", "1/4")],
)
def test_a_size_is_read(written, shown):
    assert str(subject.designation(written)) == shown


@pytest.mark.parametrize(
    ("written", "code"),
    [
        ("2/5", "unknown_size"),
        ("3/6", "unknown_size"),
        ("0/0", "unknown_size"),
        ("8/10", "too_narrow"),
        ("6/2", "too_narrow"),
        ("2-6", "bad_size"),
        ("2/nan", "unknown_size"),
        ("-1/2", "unknown_size"),
        ("a/b", "bad_size"),
        ("1/2/4", "bad_size"),
        (None, "bad_size"),
    ],
)
def test_a_size_that_is_none_is_refused(written, code):
    with pytest.raises(BlendError) as refused:
        subject.designation(written)
    assert refused.value.code == code


def test_the_refusal_names_the_nearest_sizes():
    with pytest.raises(BlendError) as refused:
        subject.designation("2/5")
    assert "4 or 6.3 mm" in refused.value.message


@given(d=st.sampled_from(subject.UK_SIZES), upper=st.sampled_from(subject.UK_SIZES))
def test_a_size_holds_exactly_from_a_ratio_of_1_4(d, upper):
    try:
        subject.designation(f"{d}/{upper}")
    except BlendError:
        assert upper / d < 1.4
    else:
        assert upper / d >= 1.4 - 1e-9


@given(small=st.floats(0.1, 20), more=st.floats(0, 20))
def test_the_densest_curve_rises_to_the_largest_size(small, more):
    assert subject.fuller(small, 20) <= subject.fuller(small + more, 20)
    assert subject.fuller(20, 20) == 100
