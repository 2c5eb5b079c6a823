"""Addresses of subcontractors, under /subcontractors/."""

from __future__ import annotations

from datetime import date

from django.urls import path, register_converter

from jobs.subcontract import views


class DayConverter:
    """A day as 2026-06-05."""

    regex = "[0-9]{4}-[0-9]{2}-[0-9]{2}"

    def to_python(self, value: str) -> date:
        return date.fromisoformat(value)  # ValueError: there is no such page

    def to_url(self, value: date | str) -> str:
        return str(value)


register_converter(DayConverter, "subcontract_day")

app_name = "subcontract"
urlpatterns = [
    path("", views.SubcontractorList.as_view(), name="list"),
    path("add/", views.SubcontractorCreate.as_view(), name="create"),
    path("<int:pk>/", views.SubcontractorPage.as_view(), name="detail"),
    path("<int:pk>/change/", views.SubcontractorEdit.as_view(), name="edit"),
    path("<int:pk>/put-away/", views.PutAway.as_view(), name="archive"),
    path("<int:pk>/restore/", views.BringBack.as_view(), name="restore"),
    path("<int:pk>/verify/", views.Verify.as_view(), name="verify"),
    path("<int:pk>/bill/", views.RecordBill.as_view(), name="record"),
    path(
        "<int:pk>/statement/<subcontract_day:end>/", views.StatementPage.as_view(), name="statement"
    ),
    path("<int:pk>/statement/<subcontract_day:end>/pdf/", views.StatementPdf.as_view(), name="pdf"),
    path("month/", views.MonthList.as_view(), name="month"),
    path("bills/", views.BillList.as_view(), name="bills"),
    path("bills/<int:pk>/", views.BillPage.as_view(), name="bill"),
    path("bills/<int:pk>/pay/", views.PayBill.as_view(), name="pay"),
    path("bills/<int:pk>/back/", views.TakeBackBill.as_view(), name="back"),
    path("payments/<int:pk>/back/", views.TakeBackPayment.as_view(), name="payment_back"),
]
