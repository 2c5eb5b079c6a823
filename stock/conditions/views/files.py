"""A logger's file: brought, looked at line by line, then taken or dropped."""

from __future__ import annotations

from typing import Any

from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.kernel.views import RoomPage, ServiceActionView
from stock.conditions import services
from stock.conditions.enums import FileState
from stock.conditions.forms import FileForm
from stock.conditions.models import ReadingFile
from stock.conditions.views.places import MOVE
from stock.conditions.views.readings import PlaceForm

MOST_BAD = 200


class ImportFile(PlaceForm):
    permission = MOVE
    form_class = FileForm
    button = "Look at the file"
    intro = "Nothing is kept until you have seen what the file holds."

    def get_title(self) -> str:
        return f"Readings of {self.found} from a file"

    def act(self, form: Any) -> ReadingFile:
        values = form.cleaned_data
        return services.look_at_file(
            place_id=self.found.pk, name=values["file"].name, data=values["file"].read(),
            unit=values["unit"], key=values["uid"], by=self.request.user, at=self.request.now,
        )  # fmt: skip

    def get_success_url(self) -> str:
        return str(self.made.get_absolute_url())


class OneFile:
    kwargs: dict[str, Any]
    found_name = "file"

    def find(self) -> ReadingFile:
        return get_object_or_404(
            ReadingFile.objects.select_related("place", "by"), pk=self.kwargs["pk"]
        )


class FileDetail(OneFile, RoomPage):
    permission = MOVE
    template_name = "stock/conditions/file.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        file: ReadingFile = self.found
        rows = services.readings_of(file)
        known, clashing = services.clashes_of(file)
        figures = [row.celsius for row in rows]
        return super().get_context_data(
            title=file.name,
            waits=file.state == FileState.LOOKED_AT,
            count=len(rows),
            first=min((row.at for row in rows), default=None),
            last=max((row.at for row in rows), default=None),
            least=min(figures, default=None),
            most=max(figures, default=None),
            known=known,
            clashing=clashing,
            new=len(rows) - known - clashing,
            bad=file.bad[:MOST_BAD],
            more_bad=max(0, len(file.bad) - MOST_BAD),
            **kwargs,
        )


class TakeFile(OneFile, ServiceActionView):
    permission = MOVE

    def act(self) -> ReadingFile:
        made = services.take_file(
            file_id=self.found.pk, whole=self.request.POST.get("rows") != "good",
            by=self.request.user, at=self.request.now,
        )  # fmt: skip
        known = f" {made.known} were there already." if made.known else ""
        self.success_message = f"Kept {made.new} readings.{known}"
        return made


class DropFile(OneFile, ServiceActionView):
    permission = MOVE
    success_message = "Dropped; nothing of the file is kept."

    def act(self) -> ReadingFile:
        return services.drop_file(
            file_id=self.found.pk, by=self.request.user, at=self.request.now
        )  # fmt: skip

    def get_success_url(self) -> str:
        return reverse("conditions:place", args=[self.found.place_id])
