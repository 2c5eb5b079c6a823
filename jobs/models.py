"""Gathers the rooms' models, so that migrations see every one of them."""

from jobs.accounts.models import Invitation, User
from jobs.attachments.models import Attachment
from jobs.audit.models import Event
from jobs.billing.models import (
    Invoice,
    InvoicePaper,
    IssuedLine,
    IssuedRate,
    PaymentRequest,
    PlanChange,
    PlanShare,
    PlanStage,
    Receipt,
    StagePlan,
)
from jobs.calendar.models import Booking, BookingFinding, ClosedDay, Leave, Resource, Slot
from jobs.costing.models import CostEntry, Hours
from jobs.customers.models import Contact, Customer
from jobs.kernel.models import NumberSeries, PostingKey, TaskRun
from jobs.messages.models import CustomerMessage, Wording
from jobs.outbox.models import Message
from jobs.people.models import Crew, PayRate, Person
from jobs.sites.models import Site
from jobs.subcontract.models import (
    SubcontractBill,
    Subcontractor,
    SubcontractPayment,
    Verification,
)
from jobs.surveys.models import Area, ColourGroup, Pour, Shape, Survey
from jobs.work.models import Job, StageChange

__all__ = [
    "Area", "Attachment", "Booking", "BookingFinding", "ClosedDay", "ColourGroup", "Contact",
    "CostEntry", "Crew", "Customer", "CustomerMessage", "Event", "Hours", "Invitation", "Invoice",
    "InvoicePaper", "IssuedLine", "IssuedRate", "Job", "Leave", "Message", "NumberSeries",
    "PayRate", "PaymentRequest", "Person", "PlanChange", "PlanShare", "PlanStage", "PostingKey",
    "Pour", "Receipt", "Resource", "Shape", "Site", "Slot", "StageChange", "StagePlan",
    "SubcontractBill", "SubcontractPayment", "Subcontractor", "Survey", "TaskRun", "User",
    "Verification", "Wording",
]  # fmt: skip
