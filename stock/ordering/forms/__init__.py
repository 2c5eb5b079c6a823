"""Forms of orders and deliveries."""

from stock.ordering.forms.orders import (
    AnywayForm,
    CancelForm,
    ConfirmForm,
    DraftForm,
    LineForm,
    NewLineForm,
    StartForm,
)
from stock.ordering.forms.receive import DamageForm, ReceiveForm, UndoForm

__all__ = [
    "AnywayForm", "CancelForm", "ConfirmForm", "DamageForm", "DraftForm", "LineForm", "NewLineForm",
    "ReceiveForm", "StartForm", "UndoForm",
]  # fmt: skip
