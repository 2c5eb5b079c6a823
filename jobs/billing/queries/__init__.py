"""Named reads of requests, plans and invoices."""

from jobs.billing.queries.asking import (
    how_to_pay,
    request_message,
    request_occasion,
    request_words,
)
from jobs.billing.queries.books import Books, Difference, audit_books
from jobs.billing.queries.invoices import (
    cis_percent,
    customer_party,
    due_papers,
    firm_party,
    message_of,
    occasion_of,
    pdf_of,
    records_of,
    sheet_of,
    standing_of,
)
from jobs.billing.queries.money import JobMoney, KeptBack, kept_back_of, money_of
from jobs.billing.queries.plans import (
    StageRow,
    agreed,
    asked_and_left,
    invoiced,
    left_to_invoice,
    material_cost,
    plan_of,
    plan_verdict,
    proposed_materials,
    reverse_verdict,
    stage_rows,
)
from jobs.billing.queries.states import (
    asked_for,
    deposit_state,
    invoices_to_credit,
    receipts_to_invoice,
)

__all__ = [
    "Books", "Difference", "JobMoney", "KeptBack", "StageRow", "agreed", "asked_and_left",
    "asked_for", "audit_books", "cis_percent", "customer_party", "deposit_state", "due_papers",
    "firm_party", "how_to_pay", "invoiced", "invoices_to_credit", "kept_back_of", "left_to_invoice",
    "material_cost", "message_of", "money_of", "occasion_of", "pdf_of", "plan_of",
    "plan_verdict", "proposed_materials", "receipts_to_invoice", "records_of",
    "request_message", "request_occasion", "request_words", "reverse_verdict", "sheet_of",
    "stage_rows", "standing_of",
]  # fmt: skip
