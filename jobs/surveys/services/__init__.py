"""Writing surveys: visits and their answers, areas, pours and colour groups, shapes."""

from jobs.surveys.services.areas import add_area, change_area, remove_area
from jobs.surveys.services.shapes import add_shape, change_shape, remove_shape
from jobs.surveys.services.visits import (
    change_survey,
    discard_survey,
    finish_survey,
    post_erasure,
    reopen_survey,
    start_survey,
)

__all__ = [
    "add_area", "add_shape", "change_area", "change_shape", "change_survey", "discard_survey",
    "finish_survey", "post_erasure", "remove_area", "remove_shape", "reopen_survey",
    "start_survey",
]  # fmt: skip
