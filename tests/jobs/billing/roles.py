"""Who may see requests, the money of jobs and invoices, and who may write them."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

from jobs.billing.forms import LINES, HandInvoiceForm
from jobs.billing.models import PaymentRequest, Receipt
from tests.factories import AT, DAY, make_job, numbers
from tests.jobs.billing.world import (
    ask,
    before_money,
    deposit_invoiced,
    drawn_quickly,
    household,
    pay,
    plan,
)
from tests.role_rows import Row, World, only


def a_request(amount: str = "1200.00") -> PaymentRequest:
    return PaymentRequest.objects.create(
        reference=f"R-2026-{next(numbers):04d}", job=make_job(stage="won"), kind="deposit",
        words="Deposit", amount=Decimal(amount), due_on=DAY + timedelta(days=7), issued_at=AT,
    )  # fmt: skip


def request() -> World:
    data = {"amount": "1200.00", "received_on": DAY, "paid_by": "transfer", "uid": uuid4()}
    return World({"pk": a_request().pk}, data)


def receipt() -> World:
    asked = a_request()
    PaymentRequest.objects.filter(pk=asked.pk).update(received=Decimal("100.00"))
    found = Receipt.objects.create(
        request=asked, amount=Decimal("100.00"), received_on=DAY, key=uuid4(), at=AT
    )
    return World({"pk": found.pk}, {"reason": "bounced", "uid": uuid4()})


def a_job() -> World:
    job = household()
    plan(job)
    stages = {"words_1": "All", "share_1": "100.00", "unit": "percent", "standard": "10.00"}
    return World({"pk": job.pk}, stages | {"reason": "conversion"})


def by_hand() -> World:
    """A job, and an invoice outside its plan as the page has shown it."""
    data = {
        "words_1": "Sweeping", "quantity_1": "1", "unit_1": "visit", "price_1": "100.00",
        "supply_on": DAY, "due_on": "2999-01-01", "issue": "1",
        **{f"rate_{n}": "20" for n in LINES},
    }  # fmt: skip
    form = HandInvoiceForm(data | {"uid": uuid4()}, cis=False, documents=())
    form.full_clean()
    return World({"pk": household().pk}, data | {"uid": uuid4(), "seen": form.digest})


def a_stage() -> World:
    job = household()
    return World({"pk": plan(job).stages.get(position=0).pk}, {"due_on": "2999-01-01"})


def money_in() -> World:
    job = household()
    plan(job)
    return World({"pk": pay(ask(job)).pk}, {"uid": uuid4()})


def asked() -> World:
    job = household()
    plan(job)
    data = {
        "uid": uuid4(), "supply_on": DAY, "reason": "in error", "to": "customer@home.example",
    }  # fmt: skip
    return World({"pk": ask(job).pk}, data)


def invoice() -> World:
    data = {"uid": uuid4(), "how": "whole", "reason": "agreed", "to": "customer@home.example"}
    return World({"pk": deposit_invoiced().pk}, data)


def drawn() -> World:
    found = before_money()
    drawn_quickly(found)
    return World({"pk": found.pk}, {"to": "customer@home.example"})


def missing() -> World:
    return World({"pk": 999_999}, {"amount": "1"})


SEE = ("owner", "office", "accountant")
MONEY = ("jobs.PaymentRequest", "jobs.Receipt")
ISSUED = ("jobs.Invoice", "jobs.IssuedLine", "jobs.IssuedRate", "jobs.NumberSeries")
PLANS = ("jobs.StagePlan", "jobs.PlanStage", "jobs.PlanShare")
GONE = dict.fromkeys(("owner", "office", "storeman", "accountant", "crew", "stranger"), 404)
ROWS = [
    Row("billing:list", "GET", only(*SEE)),
    Row("billing:request", "GET", only(*SEE), request),
    Row("billing:request", "GET", GONE, missing, "other"),
    Row("billing:receive", "GET", only(*SEE), request),
    Row("billing:receive", "POST", only(*SEE, status=302), request, models=MONEY),
    Row("billing:receive", "POST", GONE, missing, "other", MONEY),
    Row("billing:reverse", "GET", only(*SEE), receipt),
    Row("billing:reverse", "POST", only(*SEE, status=302), receipt, models=MONEY),
    Row("billing:withdraw", "GET", only(*SEE), asked),
    Row("billing:withdraw", "POST", only(*SEE, status=302), asked, models=MONEY),
    Row("billing:withdraw", "POST", GONE, missing, "other", MONEY),
    Row("billing:send_request", "GET", only(*SEE), asked),
    Row("billing:send_request", "POST", only(*SEE, status=302), asked, models=("jobs.Message",)),
    Row("billing:send_request", "POST", GONE, missing, "other", ("jobs.Message",)),
    Row("billing:issue_request", "GET", only(*SEE), asked),
    Row("billing:issue_request", "POST", only(*SEE, status=302), asked, models=ISSUED),
    Row("billing:issue_request", "POST", GONE, missing, "other", ISSUED),
    Row("billing:issue_receipt", "GET", only(*SEE), money_in),
    Row("billing:issue_receipt", "POST", only(*SEE, status=302), money_in, models=ISSUED),
    Row("billing:issue_receipt", "POST", GONE, missing, "other", ISSUED),
    Row("billing:job", "GET", only(*SEE), a_job),
    Row("billing:job", "GET", GONE, missing, "other"),
    Row("billing:write", "GET", only(*SEE), by_hand),
    Row("billing:write", "POST", only(*SEE, status=302), by_hand, models=(*ISSUED, *MONEY)),
    Row("billing:write", "POST", GONE, missing, "other", (*ISSUED, *MONEY)),
    Row("billing:plan", "GET", only(*SEE), a_job),
    Row("billing:plan", "POST", only(*SEE, status=302), a_job, models=PLANS),
    Row("billing:plan", "POST", GONE, missing, "other", PLANS),
    Row("billing:evidence", "GET", only(*SEE), a_job),
    Row("billing:evidence", "POST", only(*SEE, status=302), a_job, models=PLANS),
    Row("billing:evidence", "POST", GONE, missing, "other", PLANS),
    Row("billing:ask", "GET", only(*SEE), a_stage),
    Row("billing:ask", "POST", only(*SEE, status=302), a_stage, models=MONEY),
    Row("billing:ask", "POST", GONE, missing, "other", MONEY),
    Row("billing:invoices", "GET", only(*SEE)),
    Row("billing:invoice", "GET", only(*SEE), invoice),
    Row("billing:invoice", "GET", GONE, missing, "other"),
    Row("billing:pdf", "GET", only(*SEE), drawn),
    Row("billing:pdf", "GET", GONE, missing, "other"),
    Row("billing:draw", "POST", only(*SEE, status=302), invoice, models=("jobs.InvoicePaper",)),
    Row("billing:draw", "POST", GONE, missing, "other", ("jobs.InvoicePaper",)),
    Row("billing:send", "GET", only(*SEE), drawn),
    Row("billing:send", "POST", only(*SEE, status=302), drawn, models=("jobs.Message",)),
    Row("billing:send", "POST", GONE, missing, "other", ("jobs.Message",)),
    Row("billing:credit", "GET", only(*SEE), invoice),
    Row("billing:credit", "POST", only(*SEE, status=302), invoice, models=ISSUED),
    Row("billing:credit", "POST", GONE, missing, "other", ISSUED),
    Row("billing:late", "GET", only(*SEE), invoice),
    Row("billing:late", "GET", GONE, missing, "other"),
]
