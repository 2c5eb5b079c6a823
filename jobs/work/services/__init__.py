"""Writing jobs: opening and changing them, and every move from stage to stage."""

from jobs.work.services.files import attach_files
from jobs.work.services.opening import (
    change_job,
    copy_job,
    open_job,
    post_erasure,
    post_job,
    take_enquiry,
)
from jobs.work.services.stages import (
    cancel_job,
    lose_job,
    post_stage,
    record_step,
    reopen_job,
)

__all__ = [
    "attach_files", "cancel_job", "change_job", "copy_job", "lose_job", "open_job", "post_erasure",
    "post_job", "post_stage", "record_step", "reopen_job", "take_enquiry",
]  # fmt: skip
