"""Pages of subcontractors, their bills and payments, and of the tax month.

Long because: every page of the room stands here, each a few lines.
"""

from __future__ import annotations

from contextlib import suppress
from datetime import date
from decimal import Decimal
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.attachments.services import keep_file
from jobs.billing.forms import ReverseForm
from jobs.billing.rules import Deduction, statement_due, tax_month_end
from jobs.kernel.clock import london_day
from jobs.kernel.lists import Action, RoomListView
from jobs.kernel.versionviews import VersionedFormView
from jobs.kernel.views import (
    ConfirmView,
    RoomPage,
    RoomPermissionMixin,
    ServiceActionView,
    ServiceFormView,
)
from jobs.subcontract import services
from jobs.subcontract.documents import draw
from jobs.subcontract.filters import BillFilter, MonthFilter, SubcontractorFilter
from jobs.subcontract.forms import (
    BillForm,
    PayForm,
    SubcontractorEditForm,
    SubcontractorForm,
    VerificationForm,
)
from jobs.subcontract.models import (
    SubcontractBill,
    Subcontractor,
    SubcontractPayment,
    Verification,
)
from jobs.subcontract.queries import (
    month_sums,
    months_of,
    rate_of,
    standing_payment,
    statement_of,
)
from jobs.subcontract.rules import NO_ADVICE, Rate, is_tax_year, month_of, month_start
from jobs.subcontract.tables import BillTable, MonthTable, SubcontractorTable, bill_state

SEE = "jobs.see_billing"
WRITE = "jobs.record_payment"


class SubcontractorList(RoomListView):
    permission = SEE
    title = "Subcontractors"
    intro = "What we deduct under the Construction Industry Scheme. No tax advice."
    table_class = SubcontractorTable
    filterset_class = SubcontractorFilter
    search_fields = ("name", "utr", "vat_number", "note")
    search_hint = "A name or a reference"
    actions = (
        Action("Add a subcontractor", "subcontract:create", WRITE),
        Action("Bills", "subcontract:bills", SEE, solid=False),
        Action("Tax month", "subcontract:month", SEE, solid=False),
    )
    column_permissions = {"bill": WRITE}
    empty = "No subcontractor yet."

    def get_rows(self) -> Any:
        return Subcontractor.objects.all().for_list(london_day(self.request.now))


class SubcontractorCreate(ServiceFormView):
    permission = WRITE
    form_class = SubcontractorForm
    title = "Add a subcontractor"
    button = "Add the subcontractor"
    success_message = "Added {made}."

    def get_back_url(self) -> str:
        return reverse("subcontract:list")

    def act(self, form: Any) -> Subcontractor:
        return services.add_subcontractor(
            by=self.request.user, at=self.request.now, **form.cleaned_data
        )


class OneSubcontractor:
    """Finds the subcontractor of the address."""

    kwargs: dict[str, Any]
    found: Any
    found_name = "subcontractor"

    def find(self) -> Subcontractor:
        return get_object_or_404(Subcontractor, pk=self.kwargs["pk"])

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())

    def get_success_url(self) -> str:
        return str(self.found.get_absolute_url())


class SubcontractorPage(OneSubcontractor, RoomPage):
    permission = SEE
    template_name = "jobs/subcontract/subcontractor.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        row: Subcontractor = self.found
        bills = SubcontractBill.objects.filter(subcontractor=row).for_list()
        return super().get_context_data(
            title=row.name, rate=rate_of(row, london_day(self.request.now)),
            verifications=row.verifications.select_related("by"),
            bills=[(bill, *bill_state(bill)) for bill in bills[:25]], months=months_of(row),
            advice=NO_ADVICE, **kwargs,
        )  # fmt: skip


class PutAway(OneSubcontractor, ConfirmView):
    permission = WRITE
    button = "Put him away"
    intro = (
        "He no longer shows in the list and no bill of his can be recorded. Bills, payments and "
        "statements stay, and he can be brought back at any time."
    )
    success_message = "{found} was put away."

    def get_title(self) -> str:
        return f"Put {self.found} away?"

    def act(self, form: Any) -> Subcontractor:
        return services.put_away(
            subcontractor_id=self.found.pk, by=self.request.user, at=self.request.now
        )


class BringBack(OneSubcontractor, ServiceActionView):
    permission = WRITE
    success_message = "{found} is back in use."

    def act(self) -> Subcontractor:
        return services.bring_back(
            subcontractor_id=self.found.pk, by=self.request.user, at=self.request.now
        )


class SubcontractorEdit(OneSubcontractor, VersionedFormView):
    permission = WRITE
    form_class = SubcontractorEditForm
    title = "Change the subcontractor"
    success_message = "Saved."

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"row": self.found}

    def change(self, form: Any) -> Subcontractor:
        values = dict(form.cleaned_data)
        del values["opened"]
        return services.change_subcontractor(
            subcontractor_id=self.found.pk, version=values.pop("version"),
            by=self.request.user, at=self.request.now, **values,
        )  # fmt: skip


class Verify(OneSubcontractor, ServiceFormView):
    permission = WRITE
    form_class = VerificationForm
    title = "What HMRC said"
    button = "Record the verification"
    success_message = "Recorded."
    intro = "It holds for payments from its day on, until the next one."

    def get_initial(self) -> dict[str, Any]:
        return {"verified_on": london_day(self.request.now)}

    def act(self, form: Any) -> Verification:
        values = dict(form.cleaned_data)
        file = values.pop("file")
        return services.record_verification(
            subcontractor_id=self.found.pk, percent=Decimal(values.pop("percent")),
            kept=keep_file(data=file.read(), name=file.name) if file else None,
            key=values.pop("uid"), by=self.request.user, at=self.request.now, **values,
        )  # fmt: skip


class BillList(RoomListView):
    permission = SEE
    title = "Bills of subcontractors"
    table_class = BillTable
    filterset_class = BillFilter
    search_fields = ("number", "words", "subcontractor__name", "job__reference", "job__title")
    search_hint = "A number, a name or a job"
    actions = (Action("Subcontractors", "subcontract:list", SEE, solid=False),)
    empty = "No bill yet. A bill is recorded on the page of its subcontractor."

    def get_rows(self) -> Any:
        return SubcontractBill.objects.all().for_list()


class RecordBill(OneSubcontractor, ServiceFormView):
    permission = WRITE
    template_name = "jobs/subcontract/record.html"
    form_class = BillForm
    button = "Record the bill"
    success_message = "Recorded; its cost is on the job."

    def get_title(self) -> str:
        return f"Bill of {self.found.name}"

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"row": self.found}

    def get_initial(self) -> dict[str, Any]:
        initial: dict[str, Any] = {"billed_on": london_day(self.request.now)}
        if (job := self.request.GET.get("job", "")).isdecimal():
            initial["job"] = job
        return initial | {"reverse_charge": bool(self.found.vat_number)}

    def get_success_url(self) -> str:
        return str(self.made.get_absolute_url())

    def act(self, form: Any) -> SubcontractBill:
        file, job = form.cleaned_data["file"], form.cleaned_data["job"]
        return services.record_bill(
            subcontractor_id=self.found.pk, job_id=job.pk, typed=form.typed,
            kept=keep_file(data=file.read(), name=file.name) if file else None,
            key=form.cleaned_data["uid"], by=self.request.user, at=self.request.now,
        )  # fmt: skip


class OneBill:
    """Finds the bill of the address; a counter-entry is shown with its bill."""

    kwargs: dict[str, Any]
    found: Any
    found_name = "bill"

    def find(self) -> Any:
        rows = SubcontractBill.objects.all().for_list()
        return get_object_or_404(rows, pk=self.kwargs["pk"])

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())

    def get_success_url(self) -> str:
        return str(self.found.get_absolute_url())


class BillPage(OneBill, RoomPage):
    permission = SEE
    template_name = "jobs/subcontract/bill.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        bill = self.found
        level, word = bill_state(bill)
        found, rate = services.show_payment(bill, london_day(self.request.now))
        payments = bill.payments.select_related("by", "reversed_by").order_by("pk")
        return super().get_context_data(
            title=f"Bill {bill.number} of {bill.subcontractor.name}", level=level, word=word,
            reckoned=found, rate=rate, payments=payments, standing=standing_payment(bill),
            back=SubcontractBill.objects.filter(reverses=bill).select_related("by").first(),
            advice=NO_ADVICE, **kwargs,
        )  # fmt: skip


class PayBill(OneBill, ConfirmView):
    permission = WRITE
    template_name = "jobs/subcontract/pay.html"
    form_class = PayForm
    button = "Record the payment"
    success_message = "Recorded."

    def get_title(self) -> str:
        return f"Pay bill {self.found.number} of {self.found.subcontractor.name}?"

    def get_initial(self) -> dict[str, Any]:
        return {"paid_on": london_day(self.request.now)}

    def reckoned(self) -> tuple[Deduction, Rate]:
        """Return what is paid and why, of the day typed, or of today."""
        on = london_day(self.request.now)
        typed = self.request.POST.get("paid_on", "")
        with suppress(ValueError):  # the field says it
            on = date.fromisoformat(typed)
        return services.show_payment(self.found, on)

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        found, rate = self.reckoned()
        return super().get_context_data(reckoned=found, rate=rate, advice=NO_ADVICE, **kwargs)

    def act(self, form: Any) -> SubcontractPayment:
        values = dict(form.cleaned_data)
        return services.pay_bill(
            bill_id=self.found.pk, key=values.pop("uid"), by=self.request.user,
            at=self.request.now, **values,
        )  # fmt: skip


class TakeBackBill(OneBill, ConfirmView):
    permission = WRITE
    form_class = ReverseForm
    title = "Take this bill back?"
    intro = "A counter-entry takes it off, off the costs of its job too; both stay in the record."
    button = "Take the bill back"
    success_message = "Taken back."

    def act(self, form: Any) -> SubcontractBill:
        return services.take_back_bill(
            bill_id=self.found.pk, reason=form.cleaned_data["reason"],
            key=form.cleaned_data["uid"], by=self.request.user, at=self.request.now,
        )  # fmt: skip


class TakeBackPayment(ConfirmView):
    permission = WRITE
    form_class = ReverseForm
    found_name = "payment"
    title = "Take this payment back?"
    intro = (
        "A counter-entry takes it out of its tax month; both stay in the record. A month that was "
        "returned to HMRC must be corrected there."
    )
    button = "Take the payment back"
    success_message = "Taken back."

    def find(self) -> SubcontractPayment:
        rows = SubcontractPayment.objects.select_related("bill")
        found: SubcontractPayment = get_object_or_404(rows, pk=self.kwargs["pk"])
        return found

    def get_back_url(self) -> str:
        return str(self.found.bill.get_absolute_url())

    def get_success_url(self) -> str:
        return str(self.found.bill.get_absolute_url())

    def act(self, form: Any) -> SubcontractPayment:
        return services.take_back_payment(
            payment_id=self.found.pk, reason=form.cleaned_data["reason"],
            key=form.cleaned_data["uid"], by=self.request.user, at=self.request.now,
        )  # fmt: skip


class MonthList(RoomListView):
    """A tax month: what each subcontractor was paid and what was deducted."""

    permission = SEE
    template_name = "jobs/subcontract/month.html"
    table_class = MonthTable
    filterset_class = MonthFilter
    search_fields = ("name", "utr")
    search_hint = "A name or a reference"
    actions = (Action("Subcontractors", "subcontract:list", SEE, solid=False),)
    empty = "Nothing was paid to subcontractors in this tax month."

    @property
    def end(self) -> date:
        """The last day of the month asked for, or of today's."""
        return month_of(self.request.GET.get("month", ""), london_day(self.request.now))

    def get_title(self) -> str:
        return f"Tax month to {self.end:%-d %b %Y}"

    def get_rows(self) -> Any:
        return Subcontractor.objects.all().of_month(self.end)

    def get_table_kwargs(self) -> dict[str, Any]:
        return {"end": self.end}

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(
            sums=month_sums(self.end), first=month_start(self.end), end=self.end,
            due=statement_due(self.end), advice=NO_ADVICE, **kwargs,
        )  # fmt: skip


class OneStatement(OneSubcontractor):
    """Finds the subcontractor and the tax month of the address; a month without pay is not."""

    def find(self) -> Subcontractor:
        row = super().find()
        end: date = self.kwargs["end"]
        if not is_tax_year(end) or tax_month_end(end) != end:
            raise Http404
        return row


class StatementPage(OneStatement, RoomPage):
    permission = SEE
    template_name = "jobs/subcontract/statement.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        statement = statement_of(self.found, self.kwargs["end"])
        return super().get_context_data(
            title=f"Statement of {self.found.name} to {statement.month_end:%-d %b %Y}",
            statement=statement, missing=statement.missing(),
            due=statement_due(statement.month_end), advice=NO_ADVICE, **kwargs,
        )  # fmt: skip


class StatementPdf(OneStatement, RoomPermissionMixin):
    """The statement as PDF, drawn from what is booked now."""

    permission = SEE

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        statement = statement_of(self.found, kwargs["end"])
        if not statement.rows:
            raise Http404
        response = HttpResponse(draw(statement).data, content_type="application/pdf")
        name = f"statement-{self.found.pk}-{statement.month_end:%Y-%m-%d}.pdf"
        response["Content-Disposition"] = f'inline; filename="{name}"'
        response["Cache-Control"] = "private, no-store"
        return response
