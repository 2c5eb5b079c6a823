"""Sheets of rows in and out: a CSV or XLSX file is read, looked at row by row, then taken over.

A room writes a `SheetResource` in its `resources.py`; `jobs.kernel.sheetviews` has the pages. Half
a file is never taken: one row that is refused refuses them all, and every sentence says its line.
"""

from __future__ import annotations

import csv
import io
import zipfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from itertools import islice
from typing import Any, ClassVar

from django.core.exceptions import NON_FIELD_ERRORS, ValidationError
from django.db import DataError, IntegrityError, transaction
from import_export.resources import ModelResource
from tablib import Dataset

from jobs.kernel.errors import ServiceError
from jobs.kernel.lists import FORMULA_START, safe_cell
from jobs.kernel.posting import digest_of

MOST_BYTES = 2_000_000
MOST_UNPACKED = 50_000_000
MOST_ROWS = 5_000
MOST_COLUMNS = 60
KINDS = {
    "new": "new",
    "update": "changed",
    "skip": "same",
    "error": "refused",
    "invalid": "refused",
}


class SheetError(ServiceError):
    """The file as a whole cannot be used; the message says why and what would be accepted."""

    def __init__(self, message: str) -> None:
        super().__init__(message, field="file", code="sheet")


# -- reading ---------------------------------------------------------------------------------


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


# -- what a sheet means ----------------------------------------------------------------------


class SheetResource(ModelResource):
    """Rows of one table as a sheet. Subclass with `Meta` (model, fields, import_id_fields).

    `needed` names the columns (heads) a file must have; the others may be left out and keep what
    stands. `write()` puts one row into the books through the room's services; it runs inside the
    transaction of the whole file, and inside one that is rolled back when the file is only looked
    at. Heads and words of refusal come from `jobs.kernel.sheetfields`.
    """

    needed: ClassVar[tuple[str, ...]] = ()
    # {head: what stands in it}, for the page that asks for the file
    about: ClassVar[dict[str, str]] = {}

    class Meta:
        use_transactions = True
        skip_unchanged = True
        report_skipped = True
        skip_html_diff = True
        store_instance = True
        store_row_values = True

    def write(
        self, instance: Any, *, new: bool, row: Mapping[str, str], by: Any, at: datetime
    ) -> None:
        """Put one row into the books; raise ServiceError or ValidationError to refuse it."""
        raise NotImplementedError(f"{type(self).__name__} does not say how a row is written.")

    def name_of(self, instance: Any) -> str:
        """Return what the preview calls a row."""
        return str(instance)

    def heads(self) -> list[str]:
        """Return the columns of a sheet, in order."""
        return [each.column_name for each in self.get_export_fields()]

    def get_instance(self, instance_loader: Any, row: Mapping[str, str]) -> Any:
        """Return the row's instance or None; a cell that should name it must be readable."""
        for name in self.get_import_id_fields():
            try:
                self.fields[name].clean(row)
            except ValueError as error:
                raise ValidationError({self.fields[name].attribute: str(error)}) from error
        return super().get_instance(instance_loader, row)

    def save_instance(
        self, instance: Any, is_create: bool, row: Mapping[str, str], **kwargs: Any
    ) -> None:
        """Write one row in a savepoint, so that a refusal of the database ends only that row."""
        with transaction.atomic():
            self.write(instance, new=is_create, row=row, by=kwargs["by"], at=kwargs["at"])


@dataclass(frozen=True)
class Change:
    """One cell that a row would change."""

    head: str
    before: str
    after: str


@dataclass(frozen=True)
class RowFound:
    """What taking a row over would do: 'new', 'changed', 'same' or 'refused' with sentences."""

    line: int
    kind: str
    name: str
    changes: tuple[Change, ...] = ()
    sentences: tuple[str, ...] = ()


@dataclass(frozen=True)
class Preview:
    """What a whole file would do; `digest` is the hash of it, and changes when the books do."""

    rows: tuple[RowFound, ...]
    counts: dict[str, int] = field(default_factory=dict)
    digest: str = ""

    @property
    def is_whole(self) -> bool:
        """Whether no row is refused."""
        return not self.counts.get("refused")

    @property
    def does_something(self) -> bool:
        """Whether a row is new or changed."""
        return bool(self.counts.get("new") or self.counts.get("changed"))


def look_at(resource: SheetResource, sheet: Sheet, *, by: Any, at: datetime) -> Preview:
    """Return what a sheet would do, and leave everything as it is.

    Raises SheetError for columns that are missing or unknown.
    """
    check_heads(resource, sheet)
    with transaction.atomic():
        preview = _import(resource, sheet, by=by, at=at)
        transaction.set_rollback(True)
    return preview


@transaction.atomic(durable=True)
def take_over(
    resource: SheetResource, sheet: Sheet, *, digest: str, by: Any, at: datetime
) -> Preview:
    """Write a sheet whose preview a person has seen; `digest` is that preview's.

    Raises SheetError, with nothing written, where a row is refused or the books changed since.
    """
    check_heads(resource, sheet)
    preview = _import(resource, sheet, by=by, at=at)
    if not preview.is_whole:
        raise SheetError("A row is refused, so nothing was taken over. Mend the file first.")
    if preview.digest != digest:
        raise SheetError("The books changed since you looked at the file. Look at it again.")
    return preview


def check_heads(resource: SheetResource, sheet: Sheet) -> None:
    """Raise SheetError unless the sheet has the needed columns, and no unknown one."""
    known, given = resource.heads(), sheet.heads
    if unknown := [head for head in given if head not in known]:
        raise SheetError(f"The column '{unknown[0]}' is not known. Known are: {', '.join(known)}.")
    if missing := [head for head in resource.needed if head not in given]:
        raise SheetError(f"The column '{missing[0]}' is missing; the first line must name it.")


def _import(resource: SheetResource, sheet: Sheet, *, by: Any, at: datetime) -> Preview:
    result = resource.import_data(sheet.as_dataset(), raise_errors=False, by=by, at=at)
    for error in result.base_errors:
        raise error.error
    seen: dict[tuple[str, ...], int] = {}
    found = zip(sheet.rows, result.rows, strict=True)
    rows = tuple(_row_found(resource, each, line, seen) for (line, _), each in found)
    counts = {kind: sum(row.kind == kind for row in rows) for kind in KINDS.values()}
    told = [
        [row.kind, row.name, [(c.head, c.before, c.after) for c in row.changes]] for row in rows
    ]
    return Preview(rows, counts, digest_of({"rows": told}))


def _row_found(
    resource: SheetResource, found: Any, line: int, seen: dict[tuple[str, ...], int]
) -> RowFound:
    sentences = tuple(_sentences(resource, found))
    values = dict(found.row_values)
    heads = [resource.fields[name].column_name for name in resource.get_import_id_fields()]
    key = tuple(str(values.get(head, "")) for head in heads)
    if not sentences and key in seen:
        sentences = (f"The same row stands in line {seen[key]} already.",)
    seen.setdefault(key, line)
    if sentences:
        return RowFound(line, "refused", " ".join(key), sentences=sentences)
    name = resource.name_of(found.instance)
    kind = KINDS[found.import_type]
    return RowFound(line, kind, name, tuple(_changes(resource, found)) if kind != "same" else ())


def _changes(resource: SheetResource, found: Any) -> Iterator[Change]:
    for each in resource.get_export_fields():
        after = str(resource.export_field(each, found.instance))
        before = str(resource.export_field(each, found.original)) if found.original else ""
        if before != after:
            yield Change(each.column_name, before, after)


def _sentences(resource: SheetResource, found: Any) -> Iterator[str]:
    """Yield why a row is refused; what no person can mend is raised as it is."""
    if found.validation_error is not None:
        heads = {each.attribute: each.column_name for each in resource.fields.values()}
        for name, messages in found.validation_error.update_error_dict({}).items():
            head = heads.get(name, name)
            for error in messages:
                words = " ".join(error.messages)
                yield words if name == NON_FIELD_ERRORS else f"{head}: {words}"
    for each in found.errors:
        if isinstance(each.error, ServiceError):
            yield each.error.message
        elif isinstance(each.error, IntegrityError | DataError):
            yield "The books cannot hold this row beside what stands in them."
        else:
            raise each.error


# -- out -------------------------------------------------------------------------------------


def sheet_rows(resource: SheetResource, rows: Any = None) -> Iterator[list[Any]]:
    """Yield heads and rows as a file wants them; what comes out can be taken in again."""
    yield list(resource.heads())
    fields = resource.get_export_fields()
    for row in resource.get_queryset() if rows is None else rows:
        yield [safe_cell(resource.export_field(each, row)) for each in fields]
