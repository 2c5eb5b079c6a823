"""Who may see subcontractors, their bills and statements, and who may write them."""

from __future__ import annotations

from uuid import uuid4

from jobs.subcontract import services
from tests.factories import AT, DAY, make_job
from tests.jobs.subcontract.world import bill, paid, subcontractor
from tests.role_rows import Row, World, only


def named() -> World:
    return World({}, {"name": "Groundworks of the valley"})


def one() -> World:
    row = subcontractor()
    data = {"name": "Another name", "version": row.version}
    return World({"pk": row.pk}, data)


def away() -> World:
    row = services.put_away(subcontractor_id=subcontractor().pk, by=None, at=AT)
    return World({"pk": row.pk})


def verifying() -> World:
    data = {
        "percent": "30", "reference": "V0123456789/AB", "verified_on": DAY, "how": "phone",
        "uid": uuid4(),
    }  # fmt: skip
    return World({"pk": subcontractor().pk}, data)


def recording() -> World:
    data = {
        "job": make_job(stage="won").pk, "number": "77", "billed_on": DAY, "words": "Base",
        "labour": "100.00", "uid": uuid4(),
    }  # fmt: skip
    return World({"pk": subcontractor().pk}, data)


def a_bill() -> World:
    found = bill()
    data = {"paid_on": DAY, "paid_by": "transfer", "reason": "wrong", "uid": uuid4()}
    return World({"pk": found.pk}, data)


def a_payment() -> World:
    return World({"pk": paid(bill()).pk}, {"reason": "refused", "uid": uuid4()})


def a_statement() -> World:
    payment = paid(bill())
    return World({"pk": payment.bill.subcontractor_id, "end": payment.month_end})


def missing() -> World:
    return World({"pk": 999_999}, {"reason": "x"})


def no_month() -> World:
    return World({"pk": subcontractor().pk, "end": DAY})


SEE = ("owner", "office", "accountant")
GONE = dict.fromkeys(("owner", "office", "storeman", "accountant", "crew", "stranger"), 404)
PARTIES = ("jobs.Subcontractor", "jobs.Verification")
BILLS = ("jobs.SubcontractBill", "jobs.SubcontractPayment", "jobs.CostEntry")
ROWS = [
    Row("subcontract:list", "GET", only(*SEE)),
    Row("subcontract:create", "GET", only(*SEE)),
    Row("subcontract:create", "POST", only(*SEE, status=302), named, models=PARTIES),
    Row("subcontract:detail", "GET", only(*SEE), one),
    Row("subcontract:detail", "GET", GONE, missing, "other"),
    Row("subcontract:edit", "GET", only(*SEE), one),
    Row("subcontract:edit", "POST", only(*SEE, status=302), one, models=PARTIES),
    Row("subcontract:edit", "POST", GONE, missing, "other", PARTIES),
    Row("subcontract:archive", "GET", only(*SEE), one),
    Row("subcontract:archive", "POST", only(*SEE, status=302), one, models=PARTIES),
    Row("subcontract:archive", "POST", GONE, missing, "other", PARTIES),
    Row("subcontract:restore", "POST", only(*SEE, status=302), away, models=PARTIES),
    Row("subcontract:restore", "POST", GONE, missing, "other", PARTIES),
    Row("subcontract:verify", "GET", only(*SEE), verifying),
    Row("subcontract:verify", "POST", only(*SEE, status=302), verifying, models=PARTIES),
    Row("subcontract:verify", "POST", GONE, missing, "other", PARTIES),
    Row("subcontract:record", "GET", only(*SEE), recording),
    Row("subcontract:record", "POST", only(*SEE, status=302), recording, models=BILLS),
    Row("subcontract:record", "POST", GONE, missing, "other", BILLS),
    Row("subcontract:statement", "GET", only(*SEE), a_statement),
    Row("subcontract:statement", "GET", GONE, no_month, "other"),
    Row("subcontract:pdf", "GET", only(*SEE), a_statement),
    Row("subcontract:pdf", "GET", GONE, no_month, "other"),
    Row("subcontract:month", "GET", only(*SEE)),
    Row("subcontract:bills", "GET", only(*SEE)),
    Row("subcontract:bill", "GET", only(*SEE), a_bill),
    Row("subcontract:bill", "GET", GONE, missing, "other"),
    Row("subcontract:pay", "GET", only(*SEE), a_bill),
    Row("subcontract:pay", "POST", only(*SEE, status=302), a_bill, models=BILLS),
    Row("subcontract:pay", "POST", GONE, missing, "other", BILLS),
    Row("subcontract:back", "GET", only(*SEE), a_bill),
    Row("subcontract:back", "POST", only(*SEE, status=302), a_bill, models=BILLS),
    Row("subcontract:back", "POST", GONE, missing, "other", BILLS),
    Row("subcontract:payment_back", "GET", only(*SEE), a_payment),
    Row("subcontract:payment_back", "POST", only(*SEE, status=302), a_payment, models=BILLS),
    Row("subcontract:payment_back", "POST", GONE, missing, "other", BILLS),
]
