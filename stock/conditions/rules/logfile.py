"""A logger's file read line by line: what can be used, and what is wrong with the rest.

The columns may stand in any order under a head line, which may itself follow lines about the
device. Times without an offset are London's wall time.
"""

from __future__ import annotations

import csv
import io
import re
from dataclasses import dataclass, field
from datetime import UTC, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from stock.conditions.rules.values import (
    celsius_of,
    check_celsius,
    check_humidity,
    check_instant,
    read_figure,
)

LONDON = ZoneInfo("Europe/London")
MOST_LINES = 100_000
HEAD_WITHIN = 40
FORMATS = (
    "%d/%m/%Y %H:%M:%S", "%d/%m/%Y %H:%M", "%d.%m.%Y %H:%M:%S", "%d.%m.%Y %H:%M",
    "%d-%m-%Y %H:%M:%S", "%d-%m-%Y %H:%M", "%d/%m/%Y %I:%M:%S %p", "%d/%m/%Y %I:%M %p",
    "%d %b %Y %H:%M:%S", "%d %b %Y %H:%M", "%Y/%m/%d %H:%M:%S", "%Y/%m/%d %H:%M",
)  # fmt: skip
FIGURE_WITH_UNIT = re.compile(
    r"(?P<figure>[-+\u2212]?[\d.,]+)\s*(?:°\s*|deg\s*)?(?P<unit>[CFcf])?\Z"
)


class LogFileError(ValueError):
    """The file as a whole cannot be read; the message says why, in a sentence."""


@dataclass(frozen=True)
class LogRow:
    """A line that can be used."""

    line: int
    at: datetime
    celsius: Decimal
    humidity: Decimal | None


@dataclass
class LogFile:
    """What a file holds: rows that can be used, and (line, sentence) of those that cannot."""

    rows: list[LogRow] = field(default_factory=list)
    bad: list[tuple[int, str]] = field(default_factory=list)
    repeats: int = 0


@dataclass(frozen=True)
class Columns:
    """Where the columns stand; `unit` is C or F as the head says, or ''."""

    at: int
    time: int | None
    temperature: int
    humidity: int | None
    unit: str


def decode(data: bytes) -> str:
    """Return the text of a file: UTF-8, UTF-16 with its mark, or else Western Windows text."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        try:
            return data.decode("utf-16")
        except UnicodeDecodeError as error:
            raise LogFileError("The file is not text.") from error
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")


def read_log(data: bytes, *, unit: str, now: datetime) -> LogFile:
    """Read a logger's file; `unit` is 'C', 'F', or '' where the file itself must say.

    Raises LogFileError where the file as a whole cannot be read. A line that repeats another's
    instant and figures is counted, one with other figures is bad.
    """
    text = decode(data)
    if "\x00" in text:
        raise LogFileError("The file is not text.")
    lines = read_lines(text)
    head, columns = find_head(lines)
    log, seen = LogFile(), dict[datetime, LogRow]()
    before: datetime | None = None
    for number, cells in lines[head + 1 :]:
        if not any(cell.strip() for cell in cells):
            continue
        try:
            row = read_row(number, cells, columns, unit or columns.unit, now, before)
        except ValueError as error:
            if isinstance(error, LogFileError):
                raise
            log.bad.append((number, str(error)))
            continue
        before = row.at
        twin = seen.setdefault(row.at, row)
        if twin is row:
            log.rows.append(row)
        elif (twin.celsius, twin.humidity) == (row.celsius, row.humidity):
            log.repeats += 1
        else:
            log.bad.append((number, f"The same time as line {twin.line}, with another figure."))
    if not log.rows and not log.bad:
        raise LogFileError("There is no reading under the head line.")
    return log


def read_lines(text: str) -> list[tuple[int, list[str]]]:
    """Return (line number, cells) of a file whose cells are parted by ; , or tabs."""
    sample = text[:4000]
    mark = max(";\t,", key=sample.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark)
    lines: list[tuple[int, list[str]]] = []
    try:
        for cells in reader:
            lines.append((reader.line_num, cells))
            if len(lines) > MOST_LINES:
                raise LogFileError(f"The file has more than {MOST_LINES:,} lines; part it.")
    except csv.Error as error:
        raise LogFileError("The file is no table of readings.") from error
    return lines


def find_head(lines: list[tuple[int, list[str]]]) -> tuple[int, Columns]:
    """Return where the head line stands and what its columns are."""
    for index, (_, cells) in enumerate(lines[:HEAD_WITHIN]):
        names = [" ".join(cell.lower().replace("_", " ").split()) for cell in cells]
        at = find_name(names, r"\b(date ?time|time ?stamp|date|time)\b")
        temperature = find_name(names, r"temp|celsius|fahrenheit|°\s*[cf]\b|\A[cf]\Z")
        if at is None or temperature is None or at == temperature:
            continue
        time = None
        if re.search(r"\bdate\b", names[at]) and "time" not in names[at]:
            time = find_name(names, r"\btime\b")
        elif names[at] == "time" and (day := find_name(names, r"\bdate\b")) is not None:
            at, time = day, at
        humidity = find_name(names, r"humid|\brh\b|%\s*rh|\br\.h\.")
        return index, Columns(at, time, temperature, humidity, head_unit(names[temperature]))
    raise LogFileError(
        "No head line names a time and a temperature, such as 'time, temperature °C'."
    )


def find_name(names: list[str], pattern: str) -> int | None:
    """Return the first column whose name fits, and None where none does."""
    return next((i for i, name in enumerate(names) if re.search(pattern, name)), None)


def head_unit(name: str) -> str:
    """Return C or F as the temperature's head says, '' where it says neither."""
    if re.search(r"fahrenheit|°\s*f\b|\bdeg\.? ?f\b|\(f\)|\bf\Z|\[f\]", name):
        return "F"
    if re.search(r"celsius|°\s*c\b|\bdeg\.? ?c\b|\(c\)|\bc\Z|\[c\]", name):
        return "C"
    return ""


def read_row(
    number: int,
    cells: list[str],
    columns: Columns,
    unit: str,
    now: datetime,
    before: datetime | None,
) -> LogRow:
    """Read one line; ValueError with a sentence where it cannot be used."""
    when = cell_of(cells, columns.at)
    if columns.time is not None:
        when = f"{when} {cell_of(cells, columns.time)}".strip()
    if not when:
        raise ValueError("There is no time.")
    at = check_instant(read_time(when, before), now)
    shown = cell_of(cells, columns.temperature)
    if not shown:
        raise ValueError("There is no temperature.")
    match = FIGURE_WITH_UNIT.match(shown)
    if match is None:
        raise ValueError(f"'{shown[:30]}' is no temperature.")
    own_unit = (match["unit"] or "").upper() or unit
    if not own_unit:
        raise LogFileError("The file does not say whether it is in °C or °F; choose which.")
    figure = read_figure(match["figure"])
    celsius = check_celsius(celsius_of(figure) if own_unit == "F" else figure)
    humidity = None
    if columns.humidity is not None and (moist := cell_of(cells, columns.humidity)):
        humidity = check_humidity(read_figure(moist.rstrip("% ").removesuffix("RH").strip()))
    return LogRow(number, at, celsius, humidity)


def cell_of(cells: list[str], column: int) -> str:
    """Return a cell without the blanks around it, '' where the line is too short."""
    return cells[column].strip() if column < len(cells) else ""


def read_time(text: str, before: datetime | None) -> datetime:
    """Read a time: ISO 8601, or day first as written here; without an offset it is London's.

    In the hour that comes twice the second is meant once the first has been passed by the line
    before. ValueError for what cannot be read, or an hour that the clock change left out.
    """
    plain = " ".join(text.split())[:60]
    found: datetime | None = None
    try:
        found = datetime.fromisoformat(plain)
    except ValueError:
        for style in FORMATS:
            try:
                found = datetime.strptime(plain, style)  # noqa: DTZ007 - its zone comes below
                break
            except ValueError:
                continue
    if found is None or (found.tzinfo is None and ":" not in plain and "T" not in plain):
        raise ValueError(f"'{plain}' is no time; write 2026-05-14 09:00 or 14/05/2026 09:00.")
    if not 2000 <= found.year <= 2200:
        raise ValueError("The time is not of this century.")
    if found.tzinfo is not None:
        return found.astimezone(UTC)
    early = found.replace(tzinfo=LONDON, fold=0).astimezone(UTC)
    late = found.replace(tzinfo=LONDON, fold=1).astimezone(UTC)
    if early.astimezone(LONDON).replace(tzinfo=None) != found:
        raise ValueError(f"'{plain}' is an hour that the clock change left out.")
    return late if late > early and before is not None and before >= early else early
