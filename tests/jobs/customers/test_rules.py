"""How what is typed of a customer is tidied and compared."""

from __future__ import annotations

import pytest
from stdnum.gb import vat as gb_vat

from jobs.customers import rules
from jobs.customers.querysets import OPEN_STAGES
from jobs.work.enums import Stage


@pytest.mark.parametrize(
    ("typed", "tidy"),
    [
        ("hr4 9ab", "HR4 9AB"),
        ("HR49AB", "HR4 9AB"),
        ("sw1a1aa", "SW1A 1AA"),
        (" m1  1ae ", "M1 1AE"),
        ("by the mill", "BY THE MILL"),
    ],
)
def test_postcode_gets_its_one_space(typed: str, tidy: str) -> None:
    # Forms of UK postcodes: BS 7666 (memory).
    assert rules.tidy_postcode(typed) == tidy


def test_vat_number_is_written_as_gb_and_digits() -> None:
    assert rules.tidy_vat_number("980 7806 84") == "GB980780684"
    # python-stdnum's own example number, so that what we take is what a checker takes.
    assert gb_vat.is_valid(rules.tidy_vat_number("980 7806 84"))
    assert rules.tidy_vat_number("  ") == ""


@pytest.mark.parametrize("typed", ["12345", "FR12345678901", "GB12345678X"])
def test_what_is_no_vat_number_is_refused_with_a_sentence(typed: str) -> None:
    with pytest.raises(
        ValueError, match=f"'{typed}' is not a VAT number; write GB and nine digits"
    ):
        rules.tidy_vat_number(typed)


def test_two_ways_of_writing_a_number_have_the_same_last_digits() -> None:
    assert rules.last_digits("+44 1632 960 123") == rules.last_digits("(01632) 960-123")
    assert rules.last_digits("+44 1632 960 123") == "632960123"


def test_addresses_are_compared_without_capitals_commas_and_spaces() -> None:
    assert rules.same_words("4, Mill Lane\nOrrford", "4 mill lane, orrford")
    assert not rules.same_words("4 Mill Lane", "14 Mill Lane")
    assert not rules.same_words("", " , ")


def test_an_event_names_personal_fields_without_keeping_them() -> None:
    values: dict[str, object] = {"name": "Alex", "terms_days": 30}
    assert rules.without_personal(values) == {"name": "(personal)", "terms_days": 30}


def test_open_stages_are_those_of_the_jobs_room() -> None:
    assert OPEN_STAGES == Stage.OPEN
