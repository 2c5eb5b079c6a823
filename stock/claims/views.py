"""Pages of claims: the list, one claim, and each step of it."""

from __future__ import annotations

from typing import Any, ClassVar

from django.http import Http404
from django.shortcuts import get_object_or_404

from jobs.attachments.queries import attachments_of
from jobs.kernel.clock import LONDON, london_day
from jobs.kernel.lists import RoomListView
from jobs.kernel.views import ConfirmView, RoomPage, ServiceActionView, ServiceFormView
from jobs.work.services import attach_files
from stock.claims import queries, services
from stock.claims.filters import ClaimFilter
from stock.claims.forms import (
    AnswerForm,
    CloseForm,
    CreditForm,
    EvidenceForm,
    NotifyForm,
    OpenForm,
    line_words,
)
from stock.claims.models import Claim
from stock.claims.tables import LEVELS, ClaimTable
from stock.ordering.forms import UndoForm
from stock.ordering.models import GoodsIn

SEE = ("jobs.place_order", "jobs.receive_goods", "jobs.see_costing")
WRITE = ("jobs.receive_goods", "jobs.place_order")


class Claims(RoomListView):
    permission = SEE
    title = "Claims"
    table_class = ClaimTable
    filterset_class = ClaimFilter
    search_fields = (
        "reference", "what", "goods_in__order__reference", "goods_in__order__supplier__name",
        "goods_in__delivery_note", "lines__order_line__item__name", "credit_reference",
    )  # fmt: skip
    search_hint = "Claim, supplier, order, item or credit note"
    empty = "No claim yet. A delivery's page opens one."

    def get_rows(self) -> Any:
        return Claim.objects.for_list()


class OpenClaim(ServiceFormView):
    permission = WRITE
    form_class = OpenForm
    found_name = "delivery"
    button = "Open the claim"
    success_message = "{made} is open. Tell them by {made.notify_by:%d %b %Y}."

    def find(self) -> GoodsIn:
        found: GoodsIn = get_object_or_404(
            GoodsIn.objects.select_related("order__supplier"), pk=self.kwargs["pk"]
        )
        self.lines = queries.claimable_lines(found)
        # A double click comes when its lines are claimed for already; the key answers it.
        if self.request.method == "GET" and (found.undone_at or not self.lines):
            raise Http404
        return found

    def get_title(self) -> str:
        return f"Claim for {self.found.order}"

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())

    def get_form_kwargs(self) -> dict[str, Any]:
        lines = self.lines or list(self.found.lines.select_related("order_line__item"))
        return super().get_form_kwargs() | {"lines": lines}

    def get_initial(self) -> dict[str, Any]:
        said = "; ".join(line_words(line) for line in self.lines)
        return {"what": said[:500], "credit_expected": queries.worth_of(self.lines)}

    def act(self, form: Any) -> Claim:
        values = form.cleaned_data
        return services.open_claim(
            goods_in_id=self.found.pk, line_ids=[int(pk) for pk in values["lines"]],
            against=values["against"], what=values["what"],
            credit_expected=values["credit_expected"], key=values["uid"],
            files=[(file.name, file.read()) for file in values["file"]],
            by=self.request.user, at=self.request.now,
        )  # fmt: skip


class UndoClaimed(ConfirmView):
    """Undoes a delivery of which a claim is open, and withdraws the claim with it."""

    permission = "jobs.receive_goods"
    form_class = UndoForm
    found_name = "delivery"
    title = "Undo this delivery?"
    button = "Undo the delivery"
    success_message = "The delivery is undone; the order waits for the goods again."

    def find(self) -> GoodsIn:
        found: GoodsIn = get_object_or_404(GoodsIn.objects.for_page(), pk=self.kwargs["pk"])
        self.claims = list(Claim.objects.going().filter(goods_in=found).order_by("pk"))
        # A double click comes when it is undone already; the key answers it.
        if self.request.method == "GET" and (found.undone_at or not self.claims):
            raise Http404
        return found

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        told = [claim for claim in self.claims if claim.notified_at]
        named = ", ".join(claim.reference for claim in self.claims)
        intro = (
            services.told_words(told[0])
            if told
            else "Its lots are taken out of the yard again and the order waits for the goods. It "
            f"was claimed for, and nobody was told yet: {named} is withdrawn with the same "
            "reason. It cannot be undone once something of it has moved."
        )
        return super().get_context_data(intro=intro, **kwargs)

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())

    def act(self, form: Any) -> GoodsIn:
        values = form.cleaned_data
        return services.undo_delivery(
            goods_in_id=self.found.pk, reason=values["reason"], key=values["uid"],
            by=self.request.user, at=self.request.now,
        )  # fmt: skip


class OneClaim:
    kwargs: dict[str, Any]
    found: Any
    found_name: ClassVar[str] = "claim"

    def find(self) -> Claim:
        claim: Claim = get_object_or_404(Claim.objects.for_page(), pk=self.kwargs["pk"])
        return claim

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())


class ClaimPage(OneClaim, RoomPage):
    permission = SEE
    template_name = "stock/claims/claim.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        claim: Claim = self.found
        user = self.request.user
        return super().get_context_data(
            title=f"Claim {claim}",
            level=LEVELS[claim.state],
            said=[(line, line_words(line)) for line in claim.lines.all()],
            files=[file for file in attachments_of(claim) if user.has_perm(file.permission)],
            late=claim.notified_at is None and claim.notify_by < london_day(self.request.now),
            **kwargs,
        )


class Step(OneClaim, ServiceFormView):
    """A step of a claim that is not closed."""

    permission = WRITE
    success_message = "Noted."

    def find(self) -> Claim:
        claim = super().find()
        if claim.closed_at is not None:
            raise Http404
        return claim


class Notify(Step):
    form_class = NotifyForm
    button = "Note that they were told"

    def get_title(self) -> str:
        return f"{self.found}: how were they told?"

    def get_initial(self) -> dict[str, Any]:
        return {"told_at": self.request.now.astimezone(LONDON), "words": self.found.what}

    def act(self, form: Any) -> Claim:
        values = form.cleaned_data
        return services.notify_claim(
            claim_id=self.found.pk, how=values["how"], words=values["words"],
            told_at=values["told_at"], by=self.request.user, at=self.request.now,
        )  # fmt: skip


class RecordAnswer(Step):
    form_class = AnswerForm
    button = "Note the answer"

    def find(self) -> Claim:
        claim = super().find()
        if claim.notified_at is None:
            raise Http404
        return claim

    def get_title(self) -> str:
        return f"{self.found}: their answer"

    def get_initial(self) -> dict[str, Any]:
        return {
            "answered_on": london_day(self.request.now),
            "credit_expected": self.found.credit_expected,
        }

    def act(self, form: Any) -> Claim:
        return services.record_answer(
            claim_id=self.found.pk, by=self.request.user, at=self.request.now, **form.cleaned_data
        )


class RecordCredit(Step):
    form_class = CreditForm
    button = "Add the credit"

    def get_title(self) -> str:
        return f"{self.found}: a credit came"

    def get_initial(self) -> dict[str, Any]:
        return {
            "credit_on": london_day(self.request.now), "amount": max(self.found.difference, 0),
        }  # fmt: skip

    def act(self, form: Any) -> Claim:
        values = form.cleaned_data
        return services.record_credit(
            claim_id=self.found.pk, amount=values["amount"], credit_on=values["credit_on"],
            reference=values["reference"], key=values["uid"], by=self.request.user,
            at=self.request.now,
        )  # fmt: skip


class AddEvidence(Step):
    form_class = EvidenceForm
    button = "Add them"
    intro = "Photos lose what they know of place and camera."

    def get_title(self) -> str:
        return f"Photos and papers of {self.found}"

    def act(self, form: Any) -> None:
        attach_files(
            about=self.found, caption=form.cleaned_data["caption"], permission=services.SEEN_BY,
            files=[(file.name, file.read()) for file in form.cleaned_data["file"]],
            by=self.request.user, at=self.request.now,
        )  # fmt: skip


class Close(Step, ConfirmView):
    form_class = CloseForm
    button = "Close the claim"
    success_message = "{made} is closed."

    def get_title(self) -> str:
        return f"Close {self.found}?"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        words = self.found.credit_words
        return super().get_context_data(
            intro=f"Of the credit: {words}. Nothing more is asked of it.", **kwargs
        )

    def act(self, form: Any) -> Claim:
        return services.close_claim(
            claim_id=self.found.pk, words=form.cleaned_data["words"], by=self.request.user,
            at=self.request.now,
        )  # fmt: skip


class Reopen(OneClaim, ServiceActionView):
    permission = WRITE
    success_message = "{made} is open again."

    def act(self) -> Claim:
        return services.reopen_claim(
            claim_id=self.found.pk, by=self.request.user, at=self.request.now
        )
