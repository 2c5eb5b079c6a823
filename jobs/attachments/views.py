"""Serving files to those who may see them, and adding one to a row."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404

from jobs.attachments.models import Attachment
from jobs.attachments.queries import read_bytes
from jobs.attachments.services import remove_attachment
from jobs.kernel.views import ConfirmView, RoomPermissionMixin


class OneAttachment:
    """Finds the attachment of the address."""

    kwargs: dict[str, Any]

    def find(self) -> Attachment:
        return get_object_or_404(Attachment, uid=self.kwargs["uid"], removed_at=None)


class ServeAttachment(OneAttachment, RoomPermissionMixin):
    """The file itself; which verb may see it stands on its row."""

    permission = "jobs.view_work"

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        attachment: Attachment = self.found
        if not request.user.has_perm(attachment.permission):  # type: ignore[union-attr]
            raise PermissionDenied
        try:
            data = read_bytes(attachment)
        except OSError as error:
            raise Http404("The file is gone.") from error
        way = "inline" if "save" not in request.GET else "attachment"
        return HttpResponse(
            data,
            content_type=attachment.content_type,
            headers={
                "Content-Disposition": f'{way}; filename="{attachment.name}"',
                "Cache-Control": "private, max-age=3600",
                "Content-Security-Policy": "default-src 'none'; style-src 'unsafe-inline'; sandbox",
            },
        )


class RemoveAttachment(OneAttachment, ConfirmView):
    permission = "jobs.manage_jobs"
    button = "Take the file off"
    intro = "The file no longer shows anywhere. That it was there stays in the record."
    success_message = "{found} was taken off."

    def get_title(self) -> str:
        return f"Take {self.found} off?"

    def get_success_url(self) -> str:
        return self.request.POST.get("next", "") if self._safe_next() else "/"

    def _safe_next(self) -> bool:
        target = self.request.POST.get("next", "")
        return target.startswith("/") and not target.startswith("//")

    def act(self, form: Any) -> None:
        remove_attachment(attachment_id=self.found.pk, by=self.request.user, at=self.request.now)
