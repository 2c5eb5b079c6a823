"""The pages of a sheet: bring a file, look at what it would do, take it over; and the file out.

Between looking and taking over the rows travel in the page, signed and for one person, so that
nothing is kept of a file that nobody takes.
"""

from __future__ import annotations

from typing import Any, ClassVar

from django import forms
from django.contrib import messages
from django.core import signing
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.text import slugify

from jobs.kernel import clock, sheets
from jobs.kernel.errors import ServiceError
from jobs.kernel.lists import EXPORTERS
from jobs.kernel.sheetfile import Sheet, SheetError, read_sheet
from jobs.kernel.sheets import Preview, SheetResource
from jobs.kernel.views import UNPROCESSABLE, RoomPage, add_refusal, redirect

SALT = "jobs.kernel.sheetviews"
KEPT_SECONDS = 2 * 60 * 60
SHOWN_SAME = 20
LEVELS = {"new": "ready", "changed": "look", "same": "", "refused": "stop"}


class SheetForm(forms.Form):
    """Asks for the file."""

    file = forms.FileField(
        label="File (CSV or XLSX)",
        allow_empty_file=True,
        widget=forms.FileInput(attrs={"accept": ".csv,.xlsx,.txt,.tsv"}),
        error_messages={"required": "Choose the file."},
    )


class SheetImportView(RoomPage):
    """Bring a file: GET asks for it, POST of `file` shows what it would do, POST of `rows` does it.

    Set `permission`, `title`, `resource_class`, `list_url` (name of the page to go back to) and
    `export_url` (name of the page that gives the file out, or '').
    """

    template_name = "sheet_import.html"
    http_method_names = ["get", "post", "head", "options"]
    resource_class: ClassVar[type[SheetResource]]
    title: ClassVar[str] = ""
    list_url: ClassVar[str] = ""
    export_url: ClassVar[str] = ""

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if "rows" in request.POST:
            return self.take(request.POST["rows"])
        form = SheetForm(request.POST, request.FILES)
        if not form.is_valid():
            return self.refuse(form)
        try:
            file = form.cleaned_data["file"]
            sheet = read_sheet(file.name, file.read())
            return self.show(sheet, file.name)
        except SheetError as refusal:
            add_refusal(form, refusal)
            return self.refuse(form)

    def refuse(self, form: forms.Form) -> HttpResponse:
        """Return the page that asks for the file, with what was wrong with it."""
        return self.render_to_response(self.get_context_data(form=form), status=UNPROCESSABLE)

    def show(self, sheet: Sheet, name: str) -> HttpResponse:
        """Return the page that says row by row what the sheet would do."""
        resource = self.resource_class()
        found = sheets.look_at(resource, sheet, by=self.request.user, at=self.request.now)
        whole = found.is_whole and found.does_something
        carried = self.carry(sheet, name, found) if whole else ""
        context = self.get_context_data(form=SheetForm(), found=found, name=name, carried=carried)
        return self.render_to_response(context, status=200 if found.is_whole else UNPROCESSABLE)

    def carry(self, sheet: Sheet, name: str, found: Preview) -> str:
        """Return the sheet as signed text for the page."""
        value = {
            "for": [self.request.user.pk, self.resource_class.__qualname__],
            "name": name, "heads": sheet.heads, "rows": sheet.rows, "digest": found.digest,
        }  # fmt: skip
        return signing.dumps(value, salt=SALT, compress=True)

    def take(self, carried: str) -> HttpResponse:
        """Take over the sheet that the page carried, if the books are still as they were shown."""
        try:
            value = signing.loads(carried, salt=SALT, max_age=KEPT_SECONDS)
            ours = value["for"] == [self.request.user.pk, self.resource_class.__qualname__]
        except signing.BadSignature:
            ours = False
        if not ours:
            form = SheetForm({})
            form.errors.clear()
            form.add_error(None, "The page was open for too long. Bring the file again.")
            return self.refuse(form)
        rows = tuple((line, tuple(cells)) for line, cells in value["rows"])
        sheet = Sheet(tuple(value["heads"]), rows)
        try:
            made = sheets.take_over(
                self.resource_class(), sheet, digest=value["digest"],
                by=self.request.user, at=self.request.now,
            )  # fmt: skip
        except ServiceError as refusal:
            messages.error(self.request, refusal.message)
            return self.show(sheet, value["name"])
        counts = made.counts
        messages.success(
            self.request, f"Took over {counts['new']} new and {counts['changed']} changed rows."
        )
        return redirect(self.request, self.get_list_href())

    def get_list_href(self) -> str:
        """Return the page to go back to."""
        return reverse(self.list_url)

    def get_export_href(self) -> str:
        """Return where the file goes out, or ''."""
        return reverse(self.export_url) if self.export_url else ""

    def get_title(self) -> str:
        """Return the page's heading."""
        return self.title

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        found: Preview | None = kwargs.get("found")
        resource = self.resource_class()
        columns = [
            (head, head in resource.needed, resource.about.get(head, ""))
            for head in resource.heads()
        ]
        rows, left = shown_rows(found) if found else ([], 0)
        kwargs.setdefault("form", SheetForm())
        return super().get_context_data(
            title=self.get_title(),
            columns=columns,
            shown=rows,
            more_same=left,
            list_href=self.get_list_href(),
            export_href=self.get_export_href(),
            **kwargs,
        )


def shown_rows(found: Preview) -> tuple[list[dict[str, Any]], int]:
    """Return the rows to show, refused ones first, and how many unchanged ones are left out."""
    order = ["refused", "changed", "new", "same"]
    rows = sorted(found.rows, key=lambda row: (order.index(row.kind), row.line))
    same = [row for row in rows if row.kind == "same"]
    shown = [row for row in rows if row.kind != "same"] + same[:SHOWN_SAME]
    return [{"row": row, "level": LEVELS[row.kind]} for row in shown], max(
        0, len(same) - SHOWN_SAME
    )


class SheetExportView(RoomPage):
    """The same sheet out: `?export=csv` (the default) or `xlsx`; what comes out can be taken in."""

    resource_class: ClassVar[type[SheetResource]]
    title: ClassVar[str] = ""

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        wanted = request.GET.get("export", "csv")
        wanted = wanted if wanted in EXPORTERS else "csv"
        content, kind = EXPORTERS[wanted](sheets.sheet_rows(self.resource_class()))
        day = clock.london_day(self.request.now)
        name = f"{slugify(self.title) or 'sheet'}-{day:%Y-%m-%d}.{wanted}"
        return HttpResponse(
            content,
            content_type=kind,
            headers={"Content-Disposition": f'attachment; filename="{name}"'},
        )
