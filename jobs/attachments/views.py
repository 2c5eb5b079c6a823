"""Serving files to those who may see them, and adding one to a row."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.http import content_disposition_header, url_has_allowed_host_and_scheme

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
        if not request.user.has_perm(attachment.permission):
            raise PermissionDenied
        try:
            data = read_bytes(attachment)
        except OSError as error:
            raise Http404("The file is gone.") from error
        to_save = "save" in request.GET
        return HttpResponse(
            data,
            content_type=attachment.content_type,
            headers={
                "Content-Disposition": content_disposition_header(to_save, attachment.name),
                "Cache-Control": "private, max-age=3600",
                "Content-Security-Policy": "default-src 'none'; style-src 'unsafe-inline'; sandbox",
                "X-Content-Type-Options": "nosniff",
            },
        )


class RemoveAttachment(OneAttachment, ConfirmView):
    """Only what one may see, one may take off; `?next=` says where to go after."""

    permission = "jobs.manage_jobs"
    button = "Take the file off"
    intro = "The file no longer shows anywhere. That it was there stays in the record."
    success_message = "{found} was taken off."

    def find(self) -> Attachment:
        attachment = super().find()
        user = self.request.user
        if user.has_perm(self.permission) and not user.has_perm(attachment.permission):
            raise Http404
        return attachment

    def get_title(self) -> str:
        return f"Take {self.found} off?"

    def get_back_url(self) -> str:
        return self._came_from() or reverse("today:today")

    def get_success_url(self) -> str:
        return self.get_back_url()

    def _came_from(self) -> str:
        """Return the page of ours that asked for it, as its link or this form says."""
        target = str(self.request.POST.get("next") or self.request.GET.get("next") or "")
        ours = {self.request.get_host()}
        return target if url_has_allowed_host_and_scheme(target, ours) else ""

    def act(self, form: Any) -> None:
        remove_attachment(attachment_id=self.found.pk, by=self.request.user, at=self.request.now)
