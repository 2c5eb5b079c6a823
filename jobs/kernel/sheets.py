"""Sheets of rows in and out: a file is looked at row by row, then taken over.

A room writes a `SheetResource` in its `resources.py`; `jobs.kernel.sheetfile` reads the file and
`jobs.kernel.sheetviews` has the pages. Half a file is never taken: one row that is refused refuses
them all, and every sentence says its line.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, ClassVar

from django.core.exceptions import NON_FIELD_ERRORS, ValidationError
from django.db import DataError, IntegrityError, transaction
from import_export.resources import ModelResource

from jobs.kernel.errors import ServiceError
from jobs.kernel.lists import safe_cell
from jobs.kernel.posting import digest_of
from jobs.kernel.sheetfile import Sheet, SheetError

KINDS = {
    "new": "new",
    "update": "changed",
    "skip": "same",
    "error": "refused",
    "invalid": "refused",
}


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
