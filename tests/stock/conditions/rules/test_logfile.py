"""Loggers' files: any order of columns, both units, bad rows by line, never a crash."""

from __future__ import annotations

import csv
import io
from datetime import UTC, datetime
from decimal import Decimal

import pint
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from stock.conditions.rules.logfile import LogFile, LogFileError, read_log
from stock.conditions.rules.values import celsius_of

NOW = datetime(2026, 11, 2, 12, 0, tzinfo=UTC)


def read(text: str, unit: str = "") -> LogFile:
    return read_log(text.encode(), unit=unit, now=NOW)


def test_columns_in_any_order_with_lines_about_the_device_above() -> None:
    text = (
        "Device;container 1\nSerial;0042\n\nNo;Humidity (%RH);Temperature (°C);Date/Time\n"
        "1;55,5;21,4;14/05/2026 09:00\n2;56;21,6;14/05/2026 09:30:00\n"
    )
    log = read(text)
    assert log.bad == []
    assert [(r.line, r.celsius, r.humidity) for r in log.rows] == [
        (5, Decimal("21.40"), Decimal("55.5")), (6, Decimal("21.60"), Decimal("56.0")),
    ]  # fmt: skip
    # Half past nine of British Summer Time.
    assert log.rows[1].at == datetime(2026, 5, 14, 8, 30, tzinfo=UTC)


def test_date_and_time_in_columns_of_their_own() -> None:
    log = read("time,temp C,date\n09:00,4.5,2026-02-03\n09:30:15,4.6,2026-02-03\n")
    assert [row.at for row in log.rows] == [
        datetime(2026, 2, 3, 9, 0, tzinfo=UTC), datetime(2026, 2, 3, 9, 30, 15, tzinfo=UTC),
    ]  # fmt: skip


def test_fahrenheit_by_the_head_by_the_cell_and_by_choice() -> None:
    for text, unit in (
        ("time,temperature (°F)\n2026-05-14T09:00Z,68\n", ""),
        ("time,temperature\n2026-05-14T09:00Z,68 °F\n", ""),
        ("time,temperature\n2026-05-14T09:00Z,68\n", "F"),
    ):
        assert read(text, unit).rows[0].celsius == Decimal("20.00")


def test_degrees_agree_with_a_library_of_units() -> None:
    """Every degree Fahrenheit of a store against pint."""
    quantity = pint.UnitRegistry().Quantity
    for fahrenheit in range(-40, 177):
        theirs = quantity(fahrenheit, "degF").to("degC").magnitude
        assert float(celsius_of(Decimal(fahrenheit))) == pytest.approx(theirs)


def test_a_file_that_does_not_say_its_unit_must_be_told() -> None:
    with pytest.raises(LogFileError, match="°C or °F"):
        read("time,temperature\n2026-05-14 09:00,68\n")


def test_bad_rows_are_told_by_line_and_the_good_ones_stay() -> None:
    text = (
        "time,celsius\n"
        "2026-05-14 09:00,21\n"  # 2, good
        "2026-05-14 09:10,warm\n"  # 3
        "soon,21\n"  # 4
        "2026-05-14 09:20,210\n"  # 5
        "2026-05-14 09:30\n"  # 6
        "2027-05-14 09:00,21\n"  # 7
        "\n"
        "2026-05-14 09:00,21\n"  # 9, a repeat
        "2026-05-14 09:00,22\n"  # 10
        "2026-05-14,21\n"  # 11
        "2026-05-14 09:40,21.5\n"  # 12, good
    )
    log = read(text)
    assert [line for line, _ in log.bad] == [3, 4, 5, 6, 7, 10, 11]
    assert [row.line for row in log.rows] == [2, 12]
    assert log.repeats == 1
    sentences = dict(log.bad)
    assert sentences[3] == "'warm' is no temperature."
    assert sentences[5] == "A temperature lies between -40 and 80 °C."
    assert sentences[7] == "The time lies ahead."
    assert sentences[10] == "The same time as line 2, with another figure."


def test_the_hour_that_comes_twice_and_the_hour_that_never_came() -> None:
    """In 2026 the clocks of the United Kingdom go on on 29 March, back on 25 October."""
    log = read(
        "time,celsius\n2026-03-29 01:30,5\n2026-10-25 01:00,9\n2026-10-25 01:30,9\n"
        "2026-10-25 01:00,8\n2026-10-25 01:30,8\n2026-10-25 02:00,8\n"
    )
    assert log.bad == [(2, "'2026-03-29 01:30' is an hour that the clock change left out.")]
    assert [row.at.strftime("%H:%M") for row in log.rows] == [
        "00:00", "00:30", "01:00", "01:30", "02:00",
    ]  # fmt: skip


def refusal_of(data: bytes, unit: str) -> str:
    """Return why a file is refused, '' where it is read; what was read must make sense."""
    try:
        log = read_log(data, unit=unit, now=NOW)
    except LogFileError as refusal:
        return str(refusal) or "refused without a word"
    assert all(-40 <= row.celsius <= 80 for row in log.rows)
    assert len({row.at for row in log.rows}) == len(log.rows)
    assert log.rows or log.bad
    return ""


@pytest.mark.parametrize(
    "data",
    [
        b"", b"\x00\x01\x02", b"time,celsius\n", b"a,b\n1,2\n", b"\xff\xfe\x00", b"\xfe\xff\xd8",
        b'time,celsius\n"' + b"x" * 140_000, b"time;time;time",
    ],
)  # fmt: skip
def test_what_is_no_log_is_a_sentence(data: bytes) -> None:
    assert refusal_of(data, "").endswith(".")


def test_utf_16_with_its_mark() -> None:
    data = "time\ttemperature °C\n2026-05-14 09:00\t21,5\n".encode("utf-16")
    assert read_log(data, unit="", now=NOW).rows[0].celsius == Decimal("21.50")


cells = st.one_of(
    st.text(max_size=12),
    st.sampled_from(["2026-05-14 09:00", "21.5", "1e999", "NaN", "-inf", "0001-01-01T00:00+23:59",
                     "9999-12-31 23:59", "٣", "21 °F", "²", "--4", "5,5,5", "2026-W10-1T00:00"]),
)  # fmt: skip


@given(st.lists(st.lists(cells, max_size=4), max_size=12), st.sampled_from(["", "C", "F"]))
@example([["2026-05-14 09:00", "1e9999999"]], "C")
def test_any_table_under_a_head_is_read_or_refused(rows: list[list[str]], unit: str) -> None:
    out = io.StringIO(newline="")
    csv.writer(out).writerows([["time", "temperature", "humidity"], *rows])
    sentence = refusal_of(out.getvalue().encode("utf-8", "replace"), unit)
    assert sentence == "" or sentence.endswith(".")


@given(st.binary(max_size=300))
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    sentence = refusal_of(data, "C")
    assert sentence == "" or sentence.endswith(".")
