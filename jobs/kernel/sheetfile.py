"""A CSV or XLSX file as rows of text under its first line, or a sentence why it is none."""

from __future__ import annotations

import csv
import io
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from itertools import islice
from typing import Any

from tablib import Dataset

from jobs.kernel.errors import ServiceError
from jobs.kernel.lists import FORMULA_START

MOST_BYTES = 2_000_000
MOST_UNPACKED = 50_000_000
MOST_ROWS = 5_000
MOST_COLUMNS = 60


class SheetError(ServiceError):
    """The file as a whole cannot be used; the message says why and what would be accepted."""

    def __init__(self, message: str) -> None:
        super().__init__(message, field="file", code="sheet")


@dataclass(frozen=True)
class Sheet:
    """A file as text: the heads, and each row that is not empty with its line."""

    heads: tuple[str, ...]
    rows: tuple[tuple[int, tuple[str, ...]], ...]

    def as_dataset(self) -> Dataset:
        """Return it as the library wants it."""
        return Dataset(*(cells for _, cells in self.rows), headers=list(self.heads))


def read_sheet(name: str, data: bytes) -> Sheet:
    """Return a CSV or XLSX file as rows of text under its first line.

    Figures and days of a workbook become text as a person writes them. Raises SheetError where
    the file is too large, no table, or has no or repeated heads.
    """
    if len(data) > MOST_BYTES:
        raise SheetError(f"The file is larger than {MOST_BYTES // 1_000_000} MB; divide it.")
    found = _workbook_rows(data) if data.startswith(b"PK") else _text_rows(name, data)
    lines = [(line, row) for line, row in enumerate(found, start=1) if any(row)]
    if not lines:
        raise SheetError("The file is empty. The first line names the columns.")
    heads = lines[0][1]
    while not heads[-1]:
        heads.pop()
    if not all(heads):
        raise SheetError(f"Column {heads.index('') + 1} has no name in the first line.")
    if twice := [head for n, head in enumerate(heads) if head in heads[:n]]:
        raise SheetError(f"The column '{twice[0]}' stands twice in the first line.")
    if len(heads) > MOST_COLUMNS or len(lines) - 1 > MOST_ROWS:
        raise SheetError(f"A file holds at most {MOST_ROWS} rows of {MOST_COLUMNS} columns.")
    width = len(heads)
    for line, row in lines[1:]:
        if any(row[width:]):
            raise SheetError(f"Line {line} has more cells than the first line has columns.")
    rows = tuple((line, tuple((row + [""] * width)[:width])) for line, row in lines[1:])
    return Sheet(tuple(heads), rows)


def _text_rows(name: str, data: bytes) -> Iterator[list[str]]:
    if b"\x00" in data and not data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise SheetError(f"'{name}' is no table. Bring a CSV or an XLSX file.")
    text = _decoded(data)
    first = text.split("\n", 1)[0]
    delimiter = max(",;\t", key=first.count)
    try:
        for row in csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True):
            yield [_bare(cell) for cell in row]
    except csv.Error as error:
        raise SheetError(f"'{name}' cannot be read as CSV: {error}.") from error


def _decoded(data: bytes) -> str:
    encoding = "utf-16" if data.startswith((b"\xff\xfe", b"\xfe\xff")) else "utf-8-sig"
    try:
        return data.decode(encoding)
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")


def _workbook_rows(data: bytes) -> Iterator[list[str]]:
    from openpyxl import load_workbook  # noqa: PLC0415 - heavy, and only a file needs it

    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            unpacked = sum(entry.file_size for entry in packed.infolist())
        rows: list[Any] = []
        if unpacked <= MOST_UNPACKED:
            sheet = load_workbook(io.BytesIO(data), read_only=True, data_only=True).worksheets[0]
            found = sheet.iter_rows(values_only=True, max_col=MOST_COLUMNS + 1)
            rows = list(islice(found, MOST_ROWS + 2))
    except Exception as error:  # a broken workbook raises whatever its parts raise
        raise SheetError("The workbook cannot be read. Save it again as XLSX or CSV.") from error
    if unpacked > MOST_UNPACKED:
        raise SheetError("The workbook is too large once unpacked; divide it.")
    for row in rows:
        yield [_bare(cell) for cell in row]


def _bare(cell: Any) -> str:
    """Return a cell as text; the apostrophe that our own files put before a formula goes."""
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, datetime):
        return cell.date().isoformat() if cell.time().isoformat() == "00:00:00" else str(cell)
    if isinstance(cell, date):
        return cell.isoformat()
    if isinstance(cell, float):
        return f"{Decimal(repr(cell)).normalize():f}"
    text = str(cell).strip()
    return text[1:] if text[:1] == "'" and text[1:2] in FORMULA_START else text
