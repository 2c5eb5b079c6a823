"""Pages of requests for payment, of a job's money, and of invoices."""

from jobs.billing.views.byhand import WriteInvoice
from jobs.billing.views.invoices import (
    CreditInvoice,
    DrawInvoice,
    InvoiceList,
    InvoicePage,
    InvoicePdf,
    LatePayment,
    SendInvoice,
)
from jobs.billing.views.issuing import IssueForReceipt, IssueForRequest
from jobs.billing.views.jobs import AskStage, JobMoneyPage, ShowEvidence, WritePlan
from jobs.billing.views.requests import (
    RecordReceipt,
    RequestDetail,
    RequestList,
    ReverseReceipt,
    SendRequest,
    WithdrawRequest,
)

__all__ = [
    "AskStage", "CreditInvoice", "DrawInvoice", "InvoiceList", "InvoicePage", "InvoicePdf",
    "IssueForReceipt", "IssueForRequest", "JobMoneyPage", "LatePayment", "RecordReceipt",
    "RequestDetail", "RequestList", "ReverseReceipt", "SendInvoice", "SendRequest", "ShowEvidence",
    "WithdrawRequest", "WriteInvoice", "WritePlan",
]  # fmt: skip
