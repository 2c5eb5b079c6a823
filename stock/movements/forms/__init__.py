"""What is typed to move stock, and of the papers and tins beside it."""

from stock.movements.forms.flows import (
    CountForm,
    IssueForm,
    ReturnForm,
    TransferForm,
    UndoForm,
    WasteForm,
    base_units,
    packs_field,
    yard_places,
)
from stock.movements.forms.papers import (
    AddTinForm,
    KeepTinForm,
    NoteForm,
    PairForm,
    VoidForm,
)

__all__ = [
    "AddTinForm", "CountForm", "IssueForm", "KeepTinForm", "NoteForm", "PairForm", "ReturnForm",
    "TransferForm", "UndoForm", "VoidForm", "WasteForm", "base_units", "packs_field",
    "yard_places",
]  # fmt: skip
