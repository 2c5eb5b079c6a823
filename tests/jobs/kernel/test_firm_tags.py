from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django import forms
from django.contrib.auth.models import AnonymousUser
from django.template import Context, Template
from django.test import RequestFactory
from django.utils.html import escape

from jobs.kernel.clock import LONDON
from jobs.kernel.templatetags import firm

NB = "\N{NO-BREAK SPACE}"
NOW = datetime(2026, 5, 14, 9, 53, tzinfo=LONDON)


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (Decimal("1234.5"), "£1,234.50"), (Decimal(-12), "−£12.00"), (0, "£0.00"),
        (Decimal("-0.001"), "£0.00"), (Decimal("0.125"), "£0.13"), (None, "–"), ("", "–"),
        (Decimal("NaN"), "–"), ("word", "–"),
    ],
)  # fmt: skip
def test_money(value: Any, text: str) -> None:
    assert firm.money(value) == text


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (Decimal(12), "+£12.00"),
        (Decimal(-12), "−£12.00"),
        (0, "£0.00"),
        (Decimal("0.001"), "£0.00"),
    ],
)
def test_signed_money(value: Any, text: str) -> None:
    assert firm.signed_money(value) == text


@pytest.mark.parametrize(
    ("value", "text"),
    [(Decimal("18.5000"), "£18.50"), (Decimal("0.1250"), "£0.1250"), (None, "–")],
)
def test_rate(value: Any, text: str) -> None:
    assert firm.rate(value) == text


def test_measures_carry_their_unit_after_a_space_that_does_not_break() -> None:
    assert firm.metres(Decimal("8.4")) == f"8.40{NB}m"
    assert firm.square_metres(42.555) == f"42.56{NB}m²"
    assert firm.kg(1360) == f"1,360.0{NB}kg"
    assert firm.mm(Decimal("17.50")) == f"17.5{NB}mm"
    assert firm.celsius(-2.5) == f"−2.5{NB}°C"
    assert firm.percent(Decimal("5.00")) == f"5{NB}%"
    assert firm.metres(None) == "–"


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (17, "kit", f"17{NB}kits"), (1, "kit", f"1{NB}kit"), (0, "kit", f"0{NB}kits"),
        (3, "box,boxes", f"3{NB}boxes"), (20, "kg", f"20{NB}kg"), (1200, "", "1,200"),
        (Decimal("0.25"), "bag", f"0.25{NB}bags"), (None, "kit", "–"),
        (Decimal("3.000"), "each", "3"), (1, "sum", "1"), (2, "day", f"2{NB}days"),
    ],
)  # fmt: skip
def test_quantity(value: Any, unit: str, text: str) -> None:
    assert firm.quantity(value, unit) == text


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (1_360_000, "g", f"1,360{NB}kg"), (999, "g", f"999{NB}g"), (-2500, "ml", f"−2.5{NB}l"),
        (8400, "mm", f"8.4{NB}m"), (12, "piece", f"12{NB}pieces"),
    ],
)  # fmt: skip
def test_base_quantity(value: Any, unit: str, text: str) -> None:
    assert firm.base_quantity(value, unit) == text


def test_figures_and_words() -> None:
    assert firm.figure(Decimal("1360.00")) == "1,360"
    assert firm.figure(Decimal("14.185"), 2) == "14.19"
    assert firm.figure(1_000_000) == "1,000,000"
    assert firm.signed(3) == "+3"
    assert firm.signed(-3) == "−3"
    assert [firm.in_words(n) for n in (0, 3, 10, 11, 2.5)] == ["no", "three", "ten", "11", "2.5"]
    assert firm.or_dash("") == "–"
    assert firm.or_dash(0) == 0


def test_state_is_a_shape_beside_a_word() -> None:
    assert [firm.mark(word) for word in ("ready", "sign", "held", "note")] == ["●", "▲", "■", ""]
    page = Template('{% include "elements/state.html" with level="stop" word="held" only %}')
    assert '<span class="state stop"><span aria-hidden="true">■</span> held</span>' in page.render(
        Context()
    )


def test_times_are_londons() -> None:
    at = datetime(2026, 7, 1, 23, 30, tzinfo=UTC)  # half past midnight in London's summer
    assert firm.wall(at) == "00:30"
    assert firm.day(at) == "Thu 2 Jul"
    assert firm.day_year(date(2026, 5, 9)) == "Sat 9 May 2026"
    assert firm.day(None) == "–"
    assert firm.wall("x") == "–"


@pytest.mark.parametrize(
    ("minutes", "text"),
    [
        (112, f"in 1{NB}h 52{NB}min"), (-12, f"12{NB}min ago"), (0.5, "now"), (60, f"in 1{NB}h"),
        (1440 + 180, f"in 1{NB}day 3{NB}h"), (2880, f"in 2{NB}days"),
    ],
)  # fmt: skip
def test_how_long_left(minutes: float, text: str) -> None:
    assert firm.how_long_left(NOW + timedelta(minutes=minutes), NOW) == text


def test_how_long_left_counts_elapsed_time_over_the_change_of_the_clock() -> None:
    # 25 October 2026, the clock goes back: from midnight to four are five hours.
    start = datetime(2026, 10, 25, 0, 0, tzinfo=LONDON)
    end = datetime(2026, 10, 25, 4, 0, tzinfo=LONDON)
    assert firm.how_long_left(end.astimezone(UTC), start.astimezone(UTC)) == f"in 5{NB}h"
    assert firm.how_long_left(end, start) == f"in 5{NB}h"


def test_query_string_replaces_and_takes_away() -> None:
    request = RequestFactory().get("/", {"q": "a & b", "page": "3"})
    page = Template("{% query_string export='csv' page=None %}").render(
        Context({"request": request})
    )
    assert page == "?q=a+%26+b&amp;export=csv"


def test_may_asks_the_user(rf: RequestFactory) -> None:
    request = rf.get("/")
    request.user = AnonymousUser()
    template = Template("{% may 'jobs.write_quote' as can %}{{ can }}")
    assert template.render(Context({"request": request})) == "False"


@pytest.mark.parametrize(
    ("field", "typed"),
    [
        (forms.CharField(), ""),
        (forms.DateField(), "soon"),
        (forms.TimeField(), "late"),
        (forms.IntegerField(), "1.5"),
        (forms.DecimalField(), "much"),
        (forms.EmailField(), "at home"),
        (forms.UUIDField(), "7"),
        (forms.ChoiceField(choices=[("a", "first")]), "b"),
        (forms.DecimalField(min_value=1), "0"),
        (forms.DecimalField(max_value=Decimal("99.99")), "100"),
        (forms.DecimalField(decimal_places=2), "0.125"),
        (forms.DecimalField(max_digits=4, decimal_places=2), "123.5"),
        (forms.DecimalField(max_digits=4), "12345"),
        (forms.CharField(max_length=3), "four"),
    ],
    ids=lambda value: type(value).__name__ if isinstance(value, forms.Field) else None,
)
def test_a_field_s_sentence_says_what_would_be_accepted(field: forms.Field, typed: str) -> None:
    """Asked of Django itself, so that a release with other words is noticed."""
    page = type("Page", (forms.Form,), {"thing": field})({"thing": typed})
    text = str(page.render())
    said = page.errors["thing"][0]
    ours = firm.in_our_words(said)
    assert ours != said
    assert text.count(escape(ours)) == 1 + (not page["thing"].is_hidden)
    assert "valid" not in ours


@pytest.mark.parametrize(
    ("said", "ours"),
    [
        ("Ensure this value is less than or equal to 99.99.", "Give 99.99 or less."),
        ("Ensure this value is greater than or equal to 0.", "Give 0 or more."),
        (
            "Ensure this value has at most 3 characters (it has 4).",
            "Give at most 3 characters; these are 4.",
        ),
    ],
)
def test_a_limit_is_said_with_its_figure(said: str, ours: str) -> None:
    assert firm.in_our_words(said) == ours


def test_our_own_sentence_is_left_alone() -> None:
    assert firm.in_our_words("The kit is held.") == "The kit is held."
