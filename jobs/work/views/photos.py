"""Photos and papers added to a job or to one of its surveys."""

from __future__ import annotations

from typing import Any

from jobs.kernel.views import ServiceFormView
from jobs.work import services
from jobs.work.forms import PhotosForm
from jobs.work.views.jobs import OneJob


class AddPhotos(ServiceFormView):
    """Adds files to the found row; several at once, each looked into before any is kept."""

    form_class = PhotosForm
    button = "Add the files"
    intro = "Photos lose what they know of place and camera."
    success_message = "Added {made}."

    def get_title(self) -> str:
        return f"Add photos or papers to {self.found}"

    def act(self, form: Any) -> str:
        files = [(file.name, file.read()) for file in form.cleaned_data["file"]]
        kept = services.attach_files(
            about=self.found, files=files, caption=form.cleaned_data["caption"],
            by=self.request.user, at=self.request.now,
        )  # fmt: skip
        return "one file" if len(kept) == 1 else f"{len(kept)} files"

    def get_success_url(self) -> str:
        return str(self.found.get_absolute_url())


class JobPhotos(OneJob, AddPhotos):
    permission = ("jobs.manage_jobs", "jobs.record_survey", "jobs.log_lay_day")
