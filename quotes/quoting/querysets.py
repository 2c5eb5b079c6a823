"""Finding revisions of quotes."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from django.db import connections
from django.db.models import Exists, ExpressionWrapper, F, OuterRef, QuerySet, Subquery, Sum, Value
from django.db.models.expressions import Combinable
from django.db.models.functions import Coalesce

from jobs.kernel.fields import PenceField


class LineQuerySet(QuerySet[Any]):
    """Lines of revisions."""

    def write(self, lines: Sequence[Any], *names: str) -> None:
        """Write these fields of each line, and nothing else of it.

        By hand, since a bulk update spends more time on making its statement than all the rest of
        a recomputation takes.
        """
        if not lines:
            return
        meta, connection = self.model._meta, connections[self.db]
        fields: list[Any] = [meta.get_field(name) for name in names]
        quote = connection.ops.quote_name
        columns = ", ".join(f"{quote(field.column)} = %s" for field in fields)
        rows = [
            (*(field.get_db_prep_save(getattr(line, field.attname), connection)
               for field in fields), line.pk)
            for line in lines
        ]  # fmt: skip
        table, key = quote(meta.db_table), quote(meta.pk.column)
        with connection.cursor() as cursor:
            cursor.executemany(
                f"UPDATE {table} SET {columns} WHERE {key} = %s",  # noqa: S608 - names of ours
                rows,
            )


class RevisionQuerySet(QuerySet[Any]):
    """Revisions, with the job they are about."""

    def with_job(self) -> RevisionQuerySet:
        """Fetch quote, job, customer and site in the same query."""
        return self.select_related("quote__job__customer", "quote__job__site")

    def newest_of_each(self) -> RevisionQuerySet:
        """Return the newest revision of each quote."""
        model: Any = self.model
        newer = model.objects.filter(
            quote=OuterRef("quote"), number__gt=OuterRef("number")
        ).order_by()
        return self.filter(~Exists(newer))

    def with_agreed(self) -> RevisionQuerySet:
        """Annotate `agreed_net`, `agreed_gross` and `agreed_direct`: with the options taken.

        Of a revision that was not accepted they are its own figures.
        """
        found: RevisionQuerySet = self.annotate(
            agreed_net=self._with_taken("net"),
            agreed_direct=self._with_taken("direct"),
            # VAT is reckoned once on the whole, so what was signed is read, not added up.
            agreed_gross=Coalesce("acceptance__gross", "gross", output_field=PenceField()),
        )
        return found

    def _with_taken(self, field: str) -> Combinable:
        lines: Any = self.model._meta.get_field("lines").related_model
        taken = lines.objects.filter(revision=OuterRef("pk"), kind="option", chosen=True)
        summed = taken.order_by().values("revision").annotate(total=Sum(field)).values("total")
        options = Coalesce(Subquery(summed, output_field=PenceField()), Value(0))
        return ExpressionWrapper(F(field) + options, output_field=PenceField())

    def for_list(self) -> RevisionQuerySet:
        """Return the newest revision of each quote with what was agreed, newest quote first."""
        return self.newest_of_each().with_job().with_agreed().order_by("-created_at", "-pk")

    def open_on(self, day: date) -> RevisionQuerySet:
        """Return sent revisions that still hold on `day`."""
        return self.filter(state="sent", valid_until__gte=day)
