"""The team: who may log in and do what; joining by an invitation's link."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.contrib.auth import login
from django.http import Http404
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.decorators import method_decorator
from django.views.decorators.cache import never_cache
from django.views.generic import FormView

from jobs.accounts import services
from jobs.accounts.forms import InviteForm, JoinForm, MemberForm
from jobs.accounts.models import Invitation, User
from jobs.accounts.tables import MemberTable
from jobs.kernel.errors import ServiceError
from jobs.kernel.lists import Action, RoomListView
from jobs.kernel.views import UNPROCESSABLE, ServiceActionView, ServiceFormView, add_refusal

TEAM = "jobs.manage_team"
BACKEND = "allauth.account.auth_backends.AuthenticationBackend"


class MemberList(RoomListView):
    permission = TEAM
    title = "Team"
    template_name = "jobs/accounts/members.html"
    table_class = MemberTable
    search_fields = ("name", "email", "phone")
    search_hint = "A name or an address"
    actions = (
        Action("Invite somebody", "accounts:invite"),
        Action("Who did what", "audit:list", "jobs.view_audit", solid=False),
        Action("Messages", "outbox:list", "jobs.see_messages", solid=False),
    )

    def get_rows(self) -> Any:
        return User.objects.prefetch_related("groups")

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        waiting = Invitation.objects.filter(
            accepted_at=None, withdrawn_at=None, expires_at__gt=self.request.now
        ).select_related("by")
        return super().get_context_data(invitations=waiting, **kwargs)


class Invite(ServiceFormView):
    permission = TEAM
    form_class = InviteForm
    title = "Invite somebody"
    button = "Send the invitation"
    success_message = "An invitation is on its way to {made}."

    def get_back_url(self) -> str:
        return reverse("accounts:members")

    def get_success_url(self) -> str:
        return reverse("accounts:members")

    def act(self, form: Any) -> Invitation:
        link_base = settings.BASE_URL + reverse("accounts:join", args=["x"]).removesuffix("x/")
        return services.invite_person(
            **form.cleaned_data, link_base=link_base, by=self.request.user, at=self.request.now
        )


class Withdraw(ServiceActionView):
    permission = TEAM
    success_message = "The invitation was withdrawn."

    def find(self) -> Invitation:
        return get_object_or_404(Invitation, pk=self.kwargs["pk"])

    def get_success_url(self) -> str:
        return reverse("accounts:members")

    def act(self) -> Invitation:
        return services.withdraw_invitation(
            invitation_id=self.found.pk, by=self.request.user, at=self.request.now
        )


class Member(ServiceFormView):
    permission = TEAM
    form_class = MemberForm
    success_message = "Saved {made}."

    def find(self) -> User:
        return get_object_or_404(User, pk=self.kwargs["pk"])

    def get_title(self) -> str:
        return f"Change {self.found}"

    def get_back_url(self) -> str:
        return reverse("accounts:members")

    def get_success_url(self) -> str:
        return reverse("accounts:members")

    def get_initial(self) -> dict[str, Any]:
        user: User = self.found
        return {
            "name": user.name,
            "phone": user.phone,
            "roles": [group.name for group in user.groups.all()],
            "is_active": user.is_active,
        }

    def act(self, form: Any) -> User:
        return services.change_member(
            user_id=self.found.pk, **form.cleaned_data, by=self.request.user, at=self.request.now
        )


@method_decorator(never_cache, name="dispatch")
class Join(FormView[JoinForm]):
    """The invited person's own page: no log-in yet, only the link's token."""

    form_class = JoinForm
    template_name = "jobs/accounts/join.html"
    request: Any  # with `now` of our middleware

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        try:
            invitation = services.open_invitation(self.kwargs["token"], self.request.now)
        except ServiceError as error:
            raise Http404(error.message) from error
        return super().get_context_data(invitation=invitation, **kwargs)

    def form_valid(self, form: JoinForm) -> Any:
        try:
            user = services.accept_invitation(
                token=self.kwargs["token"],
                password=form.cleaned_data["password"],
                at=self.request.now,
            )
        except ServiceError as refusal:
            add_refusal(form, refusal)
            return self.form_invalid(form)
        login(self.request, user, backend=BACKEND)
        return super().form_valid(form)

    def form_invalid(self, form: JoinForm) -> Any:
        return self.render_to_response(self.get_context_data(form=form), status=UNPROCESSABLE)

    def get_success_url(self) -> str:
        return reverse("today:today")
