"""Short flows with one button each."""

from stock.movements.views.bench import Bench, Note, NoteNew, NoteVoid, ScanTo, WasteList
from stock.movements.views.dying import DyingList
from stock.movements.views.postings import PostingDetail, Postings, Undo
from stock.movements.views.site import BringBack, Issue, MarkPicked, PickList, PickListPdf
from stock.movements.views.tins import AddTin, KeepTin, PairTins, ScrapTin, Tins
from stock.movements.views.yard import Count, Transfer, Waste

__all__ = [
    "AddTin", "Bench", "BringBack", "Count", "DyingList", "Issue", "KeepTin", "MarkPicked", "Note",
    "NoteNew", "NoteVoid", "PairTins", "PickList", "PickListPdf", "PostingDetail", "Postings",
    "ScanTo", "ScrapTin", "Tins", "Transfer", "Undo", "Waste", "WasteList",
]  # fmt: skip
