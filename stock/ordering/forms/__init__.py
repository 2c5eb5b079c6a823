"""Forms of orders and deliveries."""

from stock.ordering.forms.orders import (
    CancelForm,
    ConfirmForm,
    DraftForm,
    LineForm,
    NewLineForm,
    StartForm,
)
from stock.ordering.forms.receive import ReceiveForm

__all__ = [
    "CancelForm", "ConfirmForm", "DraftForm", "LineForm", "NewLineForm", "ReceiveForm", "StartForm",
]  # fmt: skip
