"""Statements of hot paths that Django compiles once in a process and then only fills in.

Building and compiling a query costs several times what the database needs to answer it. Here the
ORM still writes every statement, and its rows still become its models; only its compiling is kept.
It leans on the compiler's inner parts (Django 5.2): the tests hold it to what the ORM itself gives.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from django.core.exceptions import EmptyResultSet
from django.db import DatabaseError, connections, models, router
from django.db.models import sql
from django.db.models.query import ModelIterable, get_related_populators

from jobs.kernel.posting import assert_in_transaction

# Stands in a statement for a value to come: no number that a statement of ours would hold itself.
FIRST_MARK = 2_000_111_000
# Lists of more values are compiled each time, so that what is kept has an end.
LONGEST = 40
Value = int | Sequence[int]


class CompiledQuery:
    """A query of whole numbers, which `build` returns for the values it is given.

    A value is a number or a sequence of numbers, to be used once or more, in `filter` alone. A
    queryset of models gives models with what `select_related` and annotations add; one of
    `values_list` gives tuples. An empty sequence must mean that there are no rows.
    """

    def __init__(self, build: Callable[..., models.QuerySet[Any, Any]]) -> None:
        self.build = build
        self.kept: dict[tuple[str, tuple[int | None, ...]], Statement] = {}

    def rows(self, *values: Value) -> list[Any]:
        """Return the rows for these values; one query, none where a sequence is empty."""
        shape = tuple(None if isinstance(value, int) else len(value) for value in values)
        if any(size is not None and (not size or size > LONGEST) for size in shape):
            return list(self.build(*values))
        using = router.db_for_read(models.Model)
        statement = self.kept.get((using, shape))
        if statement is None:
            statement = self.kept[using, shape] = compile_query(self.build, shape, using)
        return statement.rows(flat(values))


def flat(values: Iterable[Value]) -> list[int]:
    """Return all values in a row."""
    found: list[int] = []
    for value in values:
        if isinstance(value, int):
            found.append(value)
        else:
            found.extend(value)
    return found


@dataclass(frozen=True)
class Statement:
    """One compiled SELECT: its text, its parameters, and how its rows become values.

    `places` says for each parameter which value fills it; None leaves it as it is.
    """

    using: str
    text: str
    params: tuple[object, ...]
    places: tuple[int | None, ...]
    compiler: Any
    converters: dict[int, Any]
    locks: bool
    models: bool

    def rows(self, values: Sequence[int]) -> list[Any]:
        """Run it with these values."""
        if self.locks:
            assert_in_transaction()
        filled: list[Any] = [
            param if place is None else values[place]
            for param, place in zip(self.params, self.places, strict=True)
        ]
        with connections[self.using].cursor() as cursor:
            cursor.execute(self.text, filled)
            found: Iterable[Any] = cursor.fetchall()
        if self.converters:
            # The connection is this thread's own; the compiler's is of the thread that compiled.
            found = convert(found, self.converters, connections[self.using])
        if not self.models:
            return [tuple(row) for row in found]
        return list(as_models(self.compiler, found, self.using))


def convert(
    rows: Iterable[Any], converters: dict[int, Any], connection: Any
) -> Iterator[list[Any]]:
    """Yield rows with values as Python keeps them; as the ORM's compiler does."""
    for row in map(list, rows):
        for place, (chain, expression) in converters.items():
            for converter in chain:
                row[place] = converter(row[place], expression, connection)
        yield row


def as_models(compiler: Any, rows: Iterable[Any], using: str) -> Iterator[models.Model]:
    """Yield rows as models with their related ones; as the ORM's own iterable does."""
    info, select = compiler.klass_info, compiler.select
    first, end = info["select_fields"][0], info["select_fields"][-1] + 1
    names = [column[0].target.attname for column in select[first:end]]
    # The stubs are those of a later Django, which wants one thing more.
    related = get_related_populators(info, select, using)  # type: ignore[call-arg]
    for row in rows:
        made = info["model"].from_db(using, names, row[first:end])
        for populator in related:
            populator.populate(row, made)
        for name, place in compiler.annotation_col_map.items():
            setattr(made, name, row[place])
        yield made


def compile_query(
    build: Callable[..., models.QuerySet[Any, Any]], shape: Sequence[int | None], using: str
) -> Statement:
    """Compile what `build` returns for marks, and find them among the parameters again."""
    marks: list[Value] = []
    count = 0
    for size in shape:
        new = [FIRST_MARK + count + number for number in range(size or 1)]
        marks.append(new[0] if size is None else new)
        count += len(new)
    rows = build(*marks)
    compiler = rows.query.get_compiler(using=using)
    try:
        text, params = compiler.as_sql()
    except EmptyResultSet as error:
        raise ValueError("A query that can have no rows cannot be compiled.") from error
    places = tuple(place_of(param, count) for param in params)
    if {place for place in places if place is not None} != set(range(count)):
        raise ValueError("A value of the query does not stand in its statement.")
    converters = compiler.get_converters([column[0] for column in compiler.select])
    locks = bool(rows.query.select_for_update)
    as_rows = rows._iterable_class is ModelIterable  # noqa: SLF001 - how the ORM itself tells
    return Statement(using, text, tuple(params), places, compiler, converters, locks, as_rows)


def place_of(param: object, count: int) -> int | None:
    """Return which value a parameter stands for, if it does."""
    if isinstance(param, int) and FIRST_MARK <= param < FIRST_MARK + count:
        return param - FIRST_MARK
    return None


# -- writes ----------------------------------------------------------------------------------------


@cache
def insert_text(model: type[models.Model], using: str) -> str:
    """Return the statement with which the ORM inserts one row of a model."""
    query = sql.InsertQuery(model)
    query.insert_values(written(model), [model()], raw=True)
    compiler: Any = query.get_compiler(using=using)
    compiler.returning_fields = model._meta.db_returning_fields
    ((text, _),) = compiler.as_sql()
    return str(text)


@cache
def written(model: type[models.Model]) -> list[Any]:
    """Return the fields that an insert writes: all but the number that the database gives."""
    return [field for field in model._meta.local_concrete_fields if field is not model._meta.pk]


def insert_row(row: models.Model) -> None:
    """Insert a new row as `save` does, without its signals, of which the program has none."""
    model = type(row)
    using = router.db_for_write(model, instance=row)
    connection = connections[using]
    values = [
        field.get_db_prep_save(field.pre_save(row, True), connection)  # noqa: FBT003 - Django's
        for field in written(model)
    ]
    with connection.cursor() as cursor:
        cursor.execute(insert_text(model, using), values)
        (row.pk,) = cursor.fetchone()
    row._state.adding, row._state.db = False, using  # noqa: SLF001 - documented by Django


@cache
def update_text(model: type[models.Model], names: tuple[str, ...], using: str) -> str:
    """Return the statement with which the ORM updates some fields of one row."""
    rows = model._base_manager.filter(pk=FIRST_MARK)  # noqa: SLF001 - documented by Django
    query: Any = rows.query.chain(sql.UpdateQuery)
    query.add_update_fields([(model._meta.get_field(name), None, None) for name in names])
    text, _ = query.get_compiler(using=using).as_sql()
    return str(text).replace("= NULL", "= %s")  # the compiler writes out what is null


def update_row(row: models.Model, *names: str) -> None:
    """Update fields of a row as `save(update_fields=…)` does, without its signals."""
    model = type(row)
    using = router.db_for_write(model, instance=row)
    connection = connections[using]
    fields: list[Any] = [model._meta.get_field(name) for name in names]
    values = [field.get_db_prep_save(getattr(row, field.attname), connection) for field in fields]
    with connection.cursor() as cursor:
        cursor.execute(update_text(model, names, using), [*values, row.pk])
        if cursor.rowcount != 1:
            raise DatabaseError("The row to update is not there.")
