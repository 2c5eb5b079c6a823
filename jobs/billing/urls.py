"""Addresses of requests, money and invoices, under /billing/."""

from django.urls import path

from jobs.billing import views

app_name = "billing"
urlpatterns = [
    path("", views.RequestList.as_view(), name="list"),
    path("<int:pk>/", views.RequestDetail.as_view(), name="request"),
    path("<int:pk>/receive/", views.RecordReceipt.as_view(), name="receive"),
    path("<int:pk>/withdraw/", views.WithdrawRequest.as_view(), name="withdraw"),
    path("<int:pk>/send/", views.SendRequest.as_view(), name="send_request"),
    path("<int:pk>/invoice/", views.IssueForRequest.as_view(), name="issue_request"),
    path("receipts/<int:pk>/back/", views.ReverseReceipt.as_view(), name="reverse"),
    path("receipts/<int:pk>/invoice/", views.IssueForReceipt.as_view(), name="issue_receipt"),
    path("job/<int:pk>/", views.JobMoneyPage.as_view(), name="job"),
    path("job/<int:pk>/plan/", views.WritePlan.as_view(), name="plan"),
    path("job/<int:pk>/write/", views.WriteInvoice.as_view(), name="write"),
    path("job/<int:pk>/vat/", views.ShowEvidence.as_view(), name="evidence"),
    path("stages/<int:pk>/ask/", views.AskStage.as_view(), name="ask"),
    path("invoices/", views.InvoiceList.as_view(), name="invoices"),
    path("invoices/<int:pk>/", views.InvoicePage.as_view(), name="invoice"),
    path("invoices/<int:pk>/pdf/", views.InvoicePdf.as_view(), name="pdf"),
    path("invoices/<int:pk>/draw/", views.DrawInvoice.as_view(), name="draw"),
    path("invoices/<int:pk>/send/", views.SendInvoice.as_view(), name="send"),
    path("invoices/<int:pk>/credit/", views.CreditInvoice.as_view(), name="credit"),
    path("invoices/<int:pk>/late/", views.LatePayment.as_view(), name="late"),
]
