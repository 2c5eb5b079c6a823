"""A list of a room: searched, filtered, sorted, paged and exported, whole page or fragment.

A list page costs a fixed number of queries: the count, the page's rows, and whatever `get_rows`
prefetches; besides them the session, the user and his permissions.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from html import unescape
from typing import Any, ClassVar

from django.core.exceptions import PermissionDenied
from django.core.paginator import EmptyPage, Paginator
from django.db.models import Q, QuerySet
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.cache import patch_vary_headers
from django.utils.html import strip_tags
from django.utils.safestring import SafeString
from django.utils.text import slugify
from django.views.generic import TemplateView

from jobs.kernel import clock
from jobs.kernel.views import RoomPermissionMixin, holds

PER_PAGE = 25
LONGEST_SEARCH = 200
# Text that a spreadsheet program would take for a formula (OWASP, 'CSV Injection').
FORMULA_START = ("=", "+", "-", "@", "\t", "\r", "\n")
PLAIN_NUMBER = re.compile(r"[+-]?\d+(\.\d+)?\Z")
NOT_FILTERS = {"page", "sort", "export", "per_page"}
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@dataclass(frozen=True)
class Action:
    """A button at the head of a list: verb and object, where it leads, who may use it."""

    label: str
    url_name: str
    permission: str | tuple[str, ...] = ""
    solid: bool = True

    @property
    def url(self) -> str:
        """Return the address it leads to."""
        return reverse(self.url_name)


class RoomListView(RoomPermissionMixin, TemplateView):
    """A searchable, sortable, paged list with its files.

    Set `permission`, `title`, `table_class` and write `get_rows()`. Besides: `filterset_class`
    (django-filter), `search_fields` (lookups, every word typed must be found in one of them),
    `search_hint`, `actions`, `empty` (a sentence for no rows at all), `column_permissions`
    (column -> permission without which it is neither shown nor exported), `export_permission`.
    To add parts around the list extend `list_page.html` (blocks `above_list`, `below_list`).
    """

    template_name = "list_page.html"
    fragment_name = "list_page.html#rows"
    title: str = ""
    intro: str = ""
    table_class: ClassVar[Any] = None
    filterset_class: ClassVar[Any] = None
    search_fields: ClassVar[tuple[str, ...]] = ()
    search_hint: str = ""
    actions: ClassVar[tuple[Action, ...]] = ()
    empty: str = "Nothing here yet."
    column_permissions: ClassVar[dict[str, str]] = {}
    export_permission: ClassVar[str | tuple[str, ...]] = ""
    paginate_by: int = PER_PAGE
    # `BoundedPaginator` for a list of which there is more every year
    paginator_class: ClassVar[Any] = Paginator

    def get_rows(self) -> QuerySet[Any]:
        """Return the rows this user may see, from one `for_…` method of the room's QuerySet."""
        raise NotImplementedError(f"{type(self).__name__} must say which rows it lists.")

    def get(self, request: HttpRequest, *_: Any, **kwargs: Any) -> HttpResponse:
        self.filterset: Any = None
        rows = self.narrow(self.get_rows())
        wanted = request.GET.get("export", "")
        if wanted in EXPORTERS:
            return self.export(rows, wanted)
        context = self.get_context_data(table=self.build_table(rows), **kwargs)
        response = self.render_to_response(context)
        patch_vary_headers(response, ["HX-Request"])
        return response

    # -- which rows ------------------------------------------------------------------------

    def narrow(self, rows: QuerySet[Any]) -> QuerySet[Any]:
        """Apply search and filters; a filter that cannot be used shows no rows and says why."""
        words = self.request.GET.get("q", "").replace("\x00", "")[:LONGEST_SEARCH].split()
        if words and self.search_fields:
            rows = self.search(rows, words)
        if self.filterset_class is None:
            return rows
        self.filterset = self.filterset_class(self.request.GET, queryset=rows, request=self.request)
        if self.filterset.is_valid():
            found: QuerySet[Any] = self.filterset.qs
            return found
        return rows.none()

    def search(self, rows: QuerySet[Any], words: Iterable[str]) -> QuerySet[Any]:
        """Keep the rows in which every word is found in one of `search_fields`.

        By a subquery, so that a search over a to-many relation never lists a row twice.
        """
        wanted = Q()
        for word in words:
            anywhere = Q()
            for lookup in self.search_fields:
                anywhere |= Q(**{f"{lookup}__icontains": word})
            wanted &= anywhere
        everything = rows.model._base_manager  # noqa: SLF001 - documented by Django
        return rows.filter(pk__in=everything.filter(wanted).values("pk"))

    def is_narrowed(self) -> bool:
        """Return whether a search or a filter is set."""
        return any(
            value for name, value in self.request.GET.items() if name not in NOT_FILTERS
        )  # fmt: skip

    # -- how they are shown ----------------------------------------------------------------

    def get_table_kwargs(self) -> dict[str, Any]:
        """Return further arguments for the table, `exclude` among them."""
        return {}

    def sorted_table(self, rows: QuerySet[Any]) -> Any:
        """Return the table in the order asked for; equal rows keep the order of their keys."""
        kwargs = self.get_table_kwargs()
        hidden = [
            column for column, needed in self.column_permissions.items()
            if not holds(self.request.user, needed)
        ]  # fmt: skip
        kwargs["exclude"] = (*kwargs.get("exclude", ()), *hidden)
        # Given to the constructor, the request would choose a page size, of any number it names.
        table = self.table_class(data=rows, **kwargs)
        table.request = self.request
        wanted = self.request.GET.getlist("sort")
        if wanted:
            table.order_by = wanted
        data = table.data.data
        if isinstance(data, QuerySet) and data.query.order_by and "pk" not in data.query.order_by:
            table.data.data = data.order_by(*data.query.order_by, "pk")
        return table

    def build_table(self, rows: QuerySet[Any]) -> Any:
        """Return the table at the page asked for; a page that is not there shows the nearest."""
        table = self.sorted_table(rows)
        try:
            page = max(1, int(self.request.GET.get("page", "1")))
        except ValueError:
            page = 1
        try:
            table.paginate(self.paginator_class, per_page=self.paginate_by, page=page)
        except EmptyPage:
            table.page = table.paginator.page(table.paginator.num_pages)
        return table

    def get_title(self) -> str:
        """Return the page's heading."""
        return self.title

    def get_actions(self) -> list[Action]:
        """Return the buttons this user may use."""
        user = self.request.user
        return [act for act in self.actions if not act.permission or holds(user, act.permission)]

    def may_export(self) -> bool:
        """Return whether this user may take the list away as a file."""
        return not self.export_permission or holds(self.request.user, self.export_permission)

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(
            title=self.get_title(),
            intro=self.intro,
            actions=self.get_actions(),
            filterset=self.filterset,
            searchable=bool(self.search_fields),
            search_hint=self.search_hint,
            search_text=self.request.GET.get("q", ""),
            narrowed=self.is_narrowed(),
            empty=self.empty,
            may_export=self.may_export(),
            **kwargs,
        )

    def get_template_names(self) -> list[str]:
        htmx = getattr(self.request, "htmx", None)
        if htmx and not htmx.boosted and not htmx.history_restore_request:
            return [self.fragment_name]
        return super().get_template_names()

    # -- files -----------------------------------------------------------------------------

    def export(self, rows: QuerySet[Any], wanted: str) -> HttpResponse:
        """Return all rows that the search and filters leave, in the list's order, as a file."""
        if not self.may_export():
            raise PermissionDenied
        table = self.sorted_table(rows)
        content, kind = EXPORTERS[wanted](plain_rows(table))
        day = clock.london_day(getattr(self.request, "now", None) or clock.now())
        name = f"{slugify(self.get_title()) or 'list'}-{day:%Y-%m-%d}.{wanted}"
        return HttpResponse(
            content,
            content_type=kind,
            headers={"Content-Disposition": f'attachment; filename="{name}"'},
        )


def plain_rows(table: Any) -> Iterator[list[Any]]:
    """Yield the head and the rows of a table as a file wants them: bare values, no markup."""
    for row in table.as_values():
        yield [safe_cell("" if cell == table.default else cell) for cell in row]


def safe_cell(value: Any) -> Any:
    """Return a value that no spreadsheet takes for a formula; text gets a leading apostrophe.

    Figures stay figures; an instant is written on London's clock, without a zone.
    """
    if isinstance(value, datetime):
        return value.astimezone(clock.LONDON).replace(tzinfo=None) if value.tzinfo else value
    if isinstance(value, SafeString):
        value = unescape(strip_tags(value))
    if isinstance(value, str):
        text = value.strip(" ")
        if text.startswith(FORMULA_START) and not PLAIN_NUMBER.match(text):
            return f"'{text}"
        return text
    return value


def csv_file(rows: Iterable[list[Any]]) -> tuple[bytes, str]:
    """Return the rows as CSV (RFC 4180, UTF-8, lines end in CR LF) and its content type."""
    out = io.StringIO(newline="")
    csv.writer(out, lineterminator="\r\n").writerows(rows)
    return out.getvalue().encode(), "text/csv; charset=utf-8"


def xlsx_file(rows: Iterable[list[Any]]) -> tuple[bytes, str]:
    """Return the rows as a workbook of one sheet (Office Open XML) and its content type."""
    from openpyxl import Workbook  # noqa: PLC0415 - heavy, and only a file needs it

    book = Workbook(write_only=True)
    sheet = book.create_sheet("List")
    sheet.freeze_panes = "A2"
    for row in rows:
        sheet.append([sheet_cell(cell) for cell in row])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue(), XLSX


def sheet_cell(value: Any) -> Any:
    """Return what a sheet can hold; control characters that XML forbids are left out."""
    if isinstance(value, str):
        return re.sub(r"[\x00-\x08\x0b\x0c\x0e-\x1f]", "", value)
    if value is None or isinstance(value, int | float | datetime) or hasattr(value, "year"):
        return value
    return value if hasattr(value, "as_tuple") else str(value)


EXPORTERS = {"csv": csv_file, "xlsx": xlsx_file}
