"""What every view of a room shares: who may see it, and how a service's refusal reaches the page.

The order is always the same: log-in, then the row within what this user may see (404), then the
permission (403). A form that cannot be used answers 422 with what was typed kept; a done one
answers with a redirect.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any, ClassVar

from django import forms
from django.contrib import messages
from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import ImproperlyConfigured, PermissionDenied, ValidationError
from django.forms import BaseForm
from django.http import HttpRequest, HttpResponse, HttpResponseBase, HttpResponseRedirect
from django.shortcuts import resolve_url
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.generic import FormView, TemplateView, View
from django_htmx.http import HttpResponseClientRedirect

from jobs.kernel.errors import ServiceError

UNPROCESSABLE = 422
ViewFunction = Callable[..., HttpResponseBase]


def holds(user: Any, permission: str | tuple[str, ...]) -> bool:
    """Return whether `user` holds the permission, or any one of several."""
    wanted = (permission,) if isinstance(permission, str) else permission
    return any(user.has_perm(name) for name in wanted)


def room_permission(permission: str | tuple[str, ...]) -> Callable[[ViewFunction], ViewFunction]:
    """Guard a view function: log-in first, then 403 without the permission (or any of several)."""

    def guard(view: ViewFunction) -> ViewFunction:
        @wraps(view)
        def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
            if not request.user.is_authenticated:
                return redirect_to_login(request.get_full_path())
            if not holds(request.user, permission):
                raise PermissionDenied
            return view(request, *args, **kwargs)

        guarded.permission = permission  # type: ignore[attr-defined]
        return guarded

    return guard


class RoomPermissionMixin(View):
    """Log-in, then `find()` (404), then `permission` (403), then the view itself.

    `permission` is 'app.verb', or a tuple of which any one is enough; a view without one is a
    programming error. `find()` returns the row the page is about, looked up within what the user
    may see (`get_object_or_404`); it is kept as `self.found` and reaches the template under
    `found_name`.
    """

    request: Any  # with `now` and `htmx` of our middleware
    permission: ClassVar[str | tuple[str, ...]] = ""
    found_name: ClassVar[str] = "found"
    found: Any = None

    def find(self) -> Any:
        """Return the row this page is about, or raise Http404; None where there is none."""
        return None

    def dispatch(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        if not self.permission:
            raise ImproperlyConfigured(f"{type(self).__name__} names no permission.")
        if not request.user.is_authenticated:
            return redirect_to_login(request.get_full_path())
        self.found = self.find()
        if not holds(request.user, self.permission):
            raise PermissionDenied
        return super().dispatch(request, *args, **kwargs)

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        if self.found is not None:
            kwargs.setdefault(self.found_name, self.found)
        context: dict[str, Any] = super().get_context_data(**kwargs)  # type: ignore[misc]
        return context


class RoomPage(RoomPermissionMixin, TemplateView):
    """A page that only shows: set `permission`, `template_name`, `find()`, `get_context_data()`."""


class ServiceFormView(RoomPermissionMixin, FormView[BaseForm]):
    """A form whose POST calls one service, shows a refusal at its field, and redirects when done.

    Set `permission`, `form_class`, `title`, and write `act(form)`: it calls the service and returns
    what was made (kept as `self.made`). `success_message` is a sentence; `{made}` and `{found}`
    in it are filled in. `get_success_url()` may use both; a model's `get_absolute_url` is the
    default. A refused form answers 422 and keeps what was typed.
    """

    template_name = "form_page.html"
    title: str = ""
    button: str = "Save"
    intro: str = ""
    back_url: str = ""
    success_message: str = ""
    made: Any = None

    def act(self, form: Any) -> Any:
        """Call the service with the cleaned values; return what it made."""
        raise NotImplementedError(f"{type(self).__name__} must call its service in act(form).")

    def form_valid(self, form: BaseForm) -> HttpResponse:
        try:
            self.made = self.act(form)
        except ServiceError as refusal:
            add_refusal(form, refusal)
            return self.form_invalid(form)
        except ValidationError as refusal:
            add_validation(form, refusal)
            return self.form_invalid(form)
        if self.success_message:
            sentence = self.success_message.format(made=self.made, found=self.found)
            messages.success(self.request, sentence)
        return redirect(self.request, self.get_success_url())

    def form_invalid(self, form: BaseForm) -> HttpResponse:
        return self.render_to_response(self.get_context_data(form=form), status=UNPROCESSABLE)

    def get_success_url(self) -> str:
        if self.success_url:
            return str(resolve_url(self.success_url))
        for row in (self.made, self.found):
            if hasattr(row, "get_absolute_url"):
                return str(row.get_absolute_url())
        raise ImproperlyConfigured(f"{type(self).__name__} does not say where to go when done.")

    def get_title(self) -> str:
        """Return the page's heading."""
        return self.title

    def get_back_url(self) -> str:
        """Return where 'Back' leads; '' leaves it out."""
        return self.back_url

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        kwargs.setdefault("title", self.get_title())
        kwargs.setdefault("button", self.button)
        kwargs.setdefault("intro", self.intro)
        kwargs.setdefault("back_url", self.get_back_url())
        return super().get_context_data(**kwargs)


class ServiceActionView(RoomPermissionMixin):
    """A button: POST calls one service, says what was done or why not, and goes back.

    Write `act()`; set `success_message` and, where the page is not the found row's own,
    `get_success_url()`. A refusal is shown as a message on the page the person came from.
    GET is not allowed: use `ConfirmView` where a question must be asked first.
    """

    http_method_names = ["post", "options"]
    success_message: str = ""
    made: Any = None

    def act(self) -> Any:
        """Call the service; return what it made."""
        raise NotImplementedError(f"{type(self).__name__} must call its service in act().")

    def get_success_url(self) -> str:
        """Return where to go when done."""
        return str(self.found.get_absolute_url())

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        try:
            self.made = self.act()
        except ServiceError as refusal:
            messages.error(request, refusal.message)
            return redirect(request, came_from(request) or self.get_success_url())
        except ValidationError as refusal:
            messages.error(request, " ".join(refusal.messages))
            return redirect(request, came_from(request) or self.get_success_url())
        if self.success_message:
            sentence = self.success_message.format(made=self.made, found=self.found)
            messages.success(request, sentence)
        return redirect(request, self.get_success_url())


class ConfirmView(ServiceFormView):
    """A question before a step that is not easily undone: what happens, then one solid button.

    Set `title` (the question), `intro` (what happens and what stays), `button` (verb and object).
    A `form_class` may ask for a reason.
    """

    template_name = "confirm_page.html"
    form_class: Any = forms.Form


def add_refusal(form: BaseForm, refusal: ServiceError) -> None:
    """Put a service's sentence at its field, or on the form where it has no such field."""
    form.add_error(refusal.field if refusal.field in form.fields else None, refusal.message)


def add_validation(form: BaseForm, refusal: ValidationError) -> None:
    """Put a model's sentences at their fields; those of fields not shown go on the form."""
    if not hasattr(refusal, "error_dict"):
        form.add_error(None, refusal)
        return
    for name, errors in refusal.error_dict.items():
        for error in errors:
            form.add_error(name if name in form.fields else None, error)


def redirect(request: HttpRequest, url: str) -> HttpResponse:
    """Send the browser to `url`; a fragment request makes the whole page go there."""
    if getattr(request, "htmx", False):
        return HttpResponseClientRedirect(url)
    return HttpResponseRedirect(url)


def came_from(request: HttpRequest) -> str:
    """Return the page of ours that the request came from, or ''."""
    referer = request.headers.get("Referer", "")
    ours = url_has_allowed_host_and_scheme(
        referer, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    return referer if ours else ""
