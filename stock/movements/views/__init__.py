"""Short flows with one button each."""

from stock.movements.views.postings import PostingDetail, Postings, Undo
from stock.movements.views.site import BringBack, Issue, MarkPicked, PickList, PickListPdf
from stock.movements.views.yard import Count, Transfer, Waste

__all__ = [
    "BringBack", "Count", "Issue", "MarkPicked", "PickList", "PickListPdf", "PostingDetail",
    "Postings", "Transfer", "Undo", "Waste",
]  # fmt: skip
