"""How long a text is and who can get one, against published alphabets, lengths and ranges."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.outbox.rules import (
    ALONE,
    BASIC,
    EXTENDED,
    GSM_7,
    IN_PARTS,
    UCS_2,
    length_of,
    plain_text,
    uk_mobile,
)
from tests.outside.sources import fact

# The table of the default alphabet by rows of sixteen, codes 0x00 to 0x7F, without 0x1B (escape).
TABLE = (
    "@£$¥èéùìòÇ\nØø\rÅå",
    "Δ_ΦΓΛΩΠΨΣΘΞÆæßÉ",
    " !\"#¤%&'()*+,-./",
    "0123456789:;<=>?",
    "¡ABCDEFGHIJKLMNO",
    "PQRSTUVWXYZÄÖÑÜ§",
    "¿abcdefghijklmno",
    "pqrstuvwxyzäöñüà",
)


@fact(rows=137, source="3GPP TS 23.038, 6.2.1: default alphabet and its extension", mark="memory")
def test_the_default_alphabet_has_its_127_characters_and_ten_more() -> None:
    assert [len(row) for row in TABLE] == [16, 15, 16, 16, 16, 16, 16, 16]
    assert frozenset("".join(TABLE)) == BASIC
    assert frozenset("\f^{}\\[~]|€") == EXTENDED
    assert (len(BASIC), len(EXTENDED)) == (127, 10)


@fact(
    rows=4, source="3GPP TS 23.038, 4 and TS 23.040, 9.2.3.24.1: 140 octets, less 6", mark="memory"
)
def test_a_segment_is_140_octets_and_a_part_gives_six_to_its_header() -> None:
    assert ALONE == {GSM_7: 140 * 8 // 7, UCS_2: 140 // 2} == {GSM_7: 160, UCS_2: 70}
    assert IN_PARTS == {GSM_7: (140 - 6) * 8 // 7, UCS_2: (140 - 6) // 2}
    assert IN_PARTS == {GSM_7: 153, UCS_2: 67}


@pytest.mark.parametrize(
    ("text", "alphabet", "units", "segments"),
    [
        ("", GSM_7, 0, 0),
        ("a" * 160, GSM_7, 160, 1),
        ("a" * 161, GSM_7, 161, 2),
        ("a" * 306, GSM_7, 306, 2),
        ("a" * 307, GSM_7, 307, 3),
        ("€" * 80, GSM_7, 160, 1),
        # The escape and its character stay together: 76 pairs a part, not 76 and a half.
        ("€" * 153, GSM_7, 306, 3),
        ("–" * 70, UCS_2, 70, 1),
        ("–" * 71, UCS_2, 71, 2),
        ("–" * 134, UCS_2, 134, 2),
        ("–" * 135, UCS_2, 135, 3),
        # Outside the basic plane a character is two units, and is not cut: 33 a part.
        ("🚗" * 35, UCS_2, 70, 1),
        ("🚗" * 67, UCS_2, 134, 3),
    ],
)
def test_a_text_is_cut_where_the_standard_cuts_it(
    text: str, alphabet: str, units: int, segments: int
) -> None:
    found = length_of(text)
    assert (found.alphabet, found.units, found.segments) == (alphabet, units, segments)


def test_one_dear_character_makes_the_whole_text_dear_and_is_named() -> None:
    assert length_of("Lay – we’re on").dear == "–’"
    plain = plain_text("Lay –\u00a0we’re on\r\n…")
    assert plain == "Lay - we're on\n..."
    assert length_of(plain).alphabet == GSM_7


@given(st.text(max_size=400))
def test_segments_hold_the_text_and_none_is_left_empty(text: str) -> None:
    found = length_of(text)
    room = IN_PARTS[found.alphabet]
    if found.segments < 2:
        assert found.units <= ALONE[found.alphabet]
    else:
        # At most one unit of a part is lost to what may not be cut.
        assert found.segments >= -(-found.units // room)
        assert found.segments <= -(-found.units // (room - 1))


# 07700 900000 to 900999 are kept for drama, as are 01632 960000 to 960999.
@fact(
    rows=2,
    source="Ofcom, telephone numbers for use in TV and radio drama programmes",
    mark="memory",
)
@pytest.mark.parametrize(
    "typed",
    ["07700 900123", "07700900123", "+44 7700 900123", "0044 7700 900 123", "+44 (0)7700-900123",
     "447700900123", " 07700.900123 "],
)  # fmt: skip
def test_a_mobile_number_of_fiction_is_written_as_e164(typed: str) -> None:
    assert uk_mobile(typed) == "+447700900123"
    assert uk_mobile("01632 960123") == ""


@fact(
    rows=9, source="Ofcom, National Telephone Numbering Plan: numbers that begin 07", mark="memory"
)
@pytest.mark.parametrize(
    ("typed", "mobile"),
    [
        ("07100 000000", True), ("07599 999999", True), ("07999 999999", True),
        ("07624 000000", True),  # Isle of Man
        ("07000 000000", False),  # personal
        ("07600 000000", False),  # paging
        ("020 7946 0123", False), ("0800 000000", False), ("+1 202 555 0123", False),
    ],
)  # fmt: skip
def test_only_the_mobile_ranges_take_a_text(typed: str, mobile: bool) -> None:
    assert bool(uk_mobile(typed)) is mobile


@pytest.mark.parametrize(
    "typed", ["", "07700", "07700 9001234", "0770o 900123", "+", "07700 900123 ext 4"]
)
def test_half_a_number_is_none(typed: str) -> None:
    assert uk_mobile(typed) == ""
