"""Gathers the rooms' models, so that migrations see every one of them."""

from stock.allocation.models import Proposal, ProposalLine, Requirement, Reservation, StoodIn
from stock.catalogue.models import Blend, BlendComponent, Item, Place, Substitute
from stock.claims.models import Claim
from stock.conditions.models import (
    Excursion,
    ExcursionLot,
    Reading,
    ReadingFile,
    Sensor,
    Watch,
)
from stock.laying.models import Discrepancy, LayBay, LayDay, Mix
from stock.ledger.models import Balance, KeptBack, Lot, Movement, Posting
from stock.movements.models import Tin, WasteNote, WasteNoteLine
from stock.ordering.models import GoodsIn, GoodsInLine, Order, OrderLine, Reminder, Shortage
from stock.reorder.models import ReorderRun, Suggestion
from stock.suppliers.models import (
    Channel,
    ChannelCharge,
    Cutoff,
    Supplier,
    SupplierClosedDay,
    SupplierPrice,
)

__all__ = [
    "Balance", "Blend", "BlendComponent", "Channel", "ChannelCharge", "Claim", "Cutoff",
    "Discrepancy", "Excursion", "ExcursionLot", "GoodsIn", "GoodsInLine", "Item", "KeptBack",
    "LayBay", "LayDay", "Lot", "Mix", "Movement", "Order", "OrderLine", "Place", "Posting",
    "Proposal", "ProposalLine", "Reading", "ReadingFile", "Reminder", "ReorderRun", "Requirement",
    "Reservation", "Sensor", "Shortage", "StoodIn", "Substitute", "Suggestion", "Supplier",
    "SupplierClosedDay", "SupplierPrice", "Tin", "WasteNote", "WasteNoteLine", "Watch",
]  # fmt: skip
