"""Reading the trace both ways: from a lot, run or batch to surfaces, and from a surface to lots."""

from stock.tracing.queries.lots import (
    came_from,
    lots_for_list,
    lots_like,
    shares_of,
    subject_words,
    surfaces_for_list,
)
from stock.tracing.queries.recall import ItemSum, JobPart, LotPart, Recall, SurfacePart, recall_of
from stock.tracing.queries.storage import LayIn, storage_of
from stock.tracing.queries.surface import BayTrace, DayTrace, JobTrace, LotTrace, job_trace

__all__ = [
    "BayTrace", "DayTrace", "ItemSum", "JobPart", "JobTrace", "LayIn", "LotPart", "LotTrace",
    "Recall", "SurfacePart", "came_from", "job_trace", "lots_for_list", "lots_like", "recall_of",
    "shares_of", "storage_of", "subject_words", "surfaces_for_list",
]  # fmt: skip
