"""A Django check: a text gateway that is named can be loaded, and has what it needs."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.apps import AppConfig
from django.conf import settings
from django.core.checks import CheckMessage, Error, register
from django.core.exceptions import ImproperlyConfigured

from jobs.outbox.services import text_gateway
from jobs.outbox.textgateways import http


@register()
def check_text_gateway(app_configs: Sequence[AppConfig] | None, **_: Any) -> list[CheckMessage]:
    """Stop the start where texts would fail one by one."""
    if not settings.TEXT_GATEWAY:
        return []
    try:
        gateway = text_gateway()
        if isinstance(gateway, http.Gateway):
            http.address()
    except (ImproperlyConfigured, ImportError) as error:
        return [Error(f"RESINWRIGHT_TEXT_GATEWAY: {error}", id="resinwright.E010")]
    return []
