"""Tax on documents, written once, for quotes and invoices alike: reckoning without rows.

How it rounds: VAT on the document's total of each rate, half up; see `jobs.kernel.money`.
"""

from jobs.billing.rules.byhand import HandLine, draft_of, nets_of
from jobs.billing.rules.cis import (
    Deduction,
    Excluded,
    deduct,
    payment_due,
    statement_due,
    tax_month_end,
)
from jobs.billing.rules.dues import age_of, days_of
from jobs.billing.rules.invoices import (
    SIMPLIFIED_MOST,
    InvoiceDraft,
    InvoiceLine,
    InvoiceSheet,
    Party,
    credit_of,
    disagreements,
    invoices_less,
    may_be_simplified,
    missing_particulars,
    one_line,
    sums_by_rate,
)
from jobs.billing.rules.late import LateClaim, base_rate_day, fixed_sum_of, late_claim
from jobs.billing.rules.numbers import check_vat_number, is_utr, is_vat_number
from jobs.billing.rules.reverse import WORDING, Supply, Verdict, decide
from jobs.billing.rules.stages import Stage, StageSum, share_stages
from jobs.billing.rules.switching import asked_under, left_under, vat_under
from jobs.billing.rules.vat import (
    RateSum,
    SummedByRate,
    VatTotals,
    check_evidence,
    code_of,
    deposit_of,
    included_vat,
    percent_of,
    split_received,
    vat_on,
)

__all__ = [
    "SIMPLIFIED_MOST", "WORDING", "Deduction", "Excluded", "HandLine", "InvoiceDraft",
    "InvoiceLine", "InvoiceSheet", "LateClaim", "Party", "RateSum", "Stage", "StageSum",
    "SummedByRate", "Supply", "VatTotals", "Verdict", "age_of", "asked_under", "base_rate_day",
    "check_evidence", "check_vat_number", "code_of", "credit_of", "days_of", "decide", "deduct",
    "deposit_of", "disagreements", "draft_of", "fixed_sum_of", "included_vat", "invoices_less",
    "is_utr", "is_vat_number", "late_claim", "left_under", "may_be_simplified",
    "missing_particulars", "nets_of", "one_line", "payment_due", "percent_of", "share_stages",
    "split_received", "statement_due", "sums_by_rate", "tax_month_end", "vat_on", "vat_under",
]  # fmt: skip
