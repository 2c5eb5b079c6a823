"""Pages that belong to no room: health, errors, the way in, and the style page."""

from __future__ import annotations

import logging
import secrets
from typing import Any

from django.conf import settings
from django.core.cache import cache
from django.db import DatabaseError, connection
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from config import stylepage
from config.navigation import first_url

log = logging.getLogger(__name__)


def database_answers() -> bool:
    """Return whether the database answers a query."""
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
            return bool(cursor.fetchone() == (1,))
    except DatabaseError:
        log.exception("The database does not answer.")
        return False


def cache_answers() -> bool:
    """Return whether the cache gives back what was put in."""
    token = secrets.token_hex(8)
    try:
        cache.set("healthz", token, 10)
        return bool(cache.get("healthz") == token)
    except Exception:  # every cache has errors of its own; any of them means "no"
        log.exception("The cache does not answer.")
        return False


@never_cache
@require_safe
def healthz(request: HttpRequest) -> JsonResponse:
    """Say whether the program can work: 200 with every part true, else 503."""
    parts = {"database": database_answers(), "cache": cache_answers()}
    well = all(parts.values())
    return JsonResponse({"ok": well, **parts}, status=200 if well else 503)


@require_safe
def home(request: HttpRequest) -> HttpResponse:
    """Lead to what needs doing today, or to the log-in."""
    return redirect(first_url((settings.LOGIN_REDIRECT_URL, "style")) or "account_login")


@require_safe
def style(request: HttpRequest) -> HttpResponse:
    """Show every element once, for people who build screens."""
    return render(request, "style.html", stylepage.elements(request))


# -- what went wrong -------------------------------------------------------------------------


def bad_request(request: HttpRequest, exception: Any = None) -> HttpResponse:
    return render(request, "errors/400.html", status=400)


def permission_denied(request: HttpRequest, exception: Any = None) -> HttpResponse:
    return render(request, "errors/403.html", status=403)


def page_not_found(request: HttpRequest, exception: Any = None) -> HttpResponse:
    return render(request, "errors/404.html", status=404)


def server_error(request: HttpRequest) -> HttpResponse:
    """Answer without touching the database, which may be what failed."""
    page = render_to_string("errors/500.html", {"firm_name": settings.FIRM_NAME})
    return HttpResponse(page, status=500)


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    """Say how to go on when a form's token is missing or old."""
    return render(request, "errors/csrf.html", status=403)
