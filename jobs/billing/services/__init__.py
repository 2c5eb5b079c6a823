"""Requests, receipts, payment plans, invoices and credit notes: every write of the room."""

from jobs.billing.services.asking import send_request
from jobs.billing.services.byhand import (
    HandInvoice,
    issue_by_hand,
    keep_evidence,
    show_by_hand,
)
from jobs.billing.services.invoices import issue_credit, issue_for_receipt, issue_for_request
from jobs.billing.services.papers import (
    ask_paper,
    claim_paper,
    fail_paper,
    keep_paper,
    post_erasure,
    send_invoice,
)
from jobs.billing.services.plans import (
    ask_stage,
    post_stage_plan,
    post_variation_to_plan,
    show_vat_evidence,
    write_plan,
)
from jobs.billing.services.receipts import (
    post_deposit_request,
    record_receipt,
    reverse_receipt,
    withdraw_request,
)
from jobs.billing.services.switching import Choice

__all__ = [
    "Choice", "HandInvoice", "ask_paper", "ask_stage", "claim_paper", "fail_paper",
    "issue_by_hand", "issue_credit", "issue_for_receipt", "issue_for_request", "keep_evidence",
    "keep_paper", "post_deposit_request", "post_erasure", "post_stage_plan",
    "post_variation_to_plan", "record_receipt", "reverse_receipt", "send_invoice", "send_request",
    "show_by_hand", "show_vat_evidence", "withdraw_request", "write_plan",
]  # fmt: skip
