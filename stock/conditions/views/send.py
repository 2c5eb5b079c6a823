"""Where sensors send: one POST with a token, JSON in and a sentence out.

    POST /conditions/send/
    Authorization: Bearer TOKEN
    {"at": "2026-05-14T09:00:00Z", "celsius": 21.4, "humidity": 48.2}
    or {"readings": [{...}, ...]} with up to 500 of them; "fahrenheit" in place of "celsius".

201 kept (again, if it was kept before), 400 not understood, 401 no valid token, 409 another figure
is kept for that instant, 413 too much at once, 429 too often.
"""

from __future__ import annotations

import json
from datetime import datetime
from decimal import Decimal
from typing import Any, ClassVar

from django.conf import settings
from django.core.cache import cache
from django.core.exceptions import RequestDataTooBig
from django.http import HttpRequest, HttpResponse, HttpResponseBase, JsonResponse
from django.http.request import UnreadablePostError
from django.utils.decorators import method_decorator
from django.views.decorators.csrf import csrf_exempt
from django.views.generic import View

from jobs.kernel.errors import ServiceError
from stock.conditions import services
from stock.conditions.models import Sensor
from stock.conditions.rules.values import (
    celsius_of,
    check_celsius,
    check_humidity,
    check_instant,
)
from stock.conditions.services import NewReading

MOST_BYTES = 256 * 1024
MOST_READINGS = 500
MOST_A_MINUTE = 120
SCHEME = "bearer "


class Unclear(ValueError):  # noqa: N818 - it says what it is
    """What was sent cannot be read; the message is the sentence to answer with."""


@method_decorator(csrf_exempt, name="dispatch")
class Send(View):
    """Needs no log-in: the token is the key, and it opens nothing but this."""

    permission: ClassVar[str] = "public"
    http_method_names = ["post", "options"]

    def dispatch(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        if too_many(request):
            response: HttpResponseBase = say(429, "Too many requests; wait a minute.")
            response["Retry-After"] = "60"
        else:
            response = super().dispatch(request, *args, **kwargs)
        response["Cache-Control"] = "no-store"
        return response

    def post(self, request: HttpRequest) -> HttpResponse:
        sensor = sensor_of(request)
        if sensor is None:
            response = say(401, "The token is missing or not valid.")
            response["WWW-Authenticate"] = "Bearer"
            return response
        now: datetime = request.now  # type: ignore[attr-defined]
        try:
            body = body_of(request)
            rows = rows_of(body, now)
            kept = services.send_readings(sensor_id=sensor.pk, rows=rows, at=now)
        except RequestDataTooBig:
            return say(413, "That is more than 256 kB at once; send less.")
        except Unclear as refusal:
            return say(400, str(refusal))
        except ServiceError as refusal:
            return say(409 if refusal.code == "clash" else 401, refusal.message)
        return say(
            201, f"Kept {kept.new}; {kept.known} were there.", new=kept.new, known=kept.known
        )


def say(status: int, sentence: str, **more: int) -> HttpResponse:
    """Return a sentence as JSON."""
    return JsonResponse({"sentence": sentence, **more}, status=status)


def too_many(request: HttpRequest) -> bool:
    """Count a request and return whether its network address asked too often this minute."""
    forwarded = request.headers.get("X-Forwarded-For", "") if settings.BEHIND_PROXY else ""
    address = forwarded.rpartition(",")[2].strip() or request.META.get("REMOTE_ADDR", "")
    minute = int(request.now.timestamp() // 60)  # type: ignore[attr-defined]
    key = f"sensor:{services.hash_of(address)}:{minute}"
    cache.add(key, 0, 120)
    try:
        return int(cache.incr(key)) > MOST_A_MINUTE
    except ValueError:  # it expired between the two
        return False


def sensor_of(request: HttpRequest) -> Sensor | None:
    """Return the sensor whose token was sent, None without a valid one."""
    header = request.headers.get("Authorization", "")
    if not header.lower().startswith(SCHEME):
        return None
    token = header[len(SCHEME) :].strip()
    return Sensor.objects.active().filter(token_hash=services.hash_of(token)).first()


def body_of(request: HttpRequest) -> Any:
    """Return the JSON that was sent, figures as Decimal."""
    try:
        data = request.body
    except UnreadablePostError as error:
        raise Unclear("The request broke off.") from error
    if len(data) > MOST_BYTES:
        raise RequestDataTooBig
    try:
        return json.loads(data, parse_float=Decimal, parse_int=Decimal, parse_constant=no_figure)
    except (ValueError, ArithmeticError, RecursionError) as error:
        raise Unclear("This is not JSON that can be read.") from error


def no_figure(text: str) -> Decimal:
    """Refuse NaN and the infinities, which JSON does not know."""
    raise ValueError(text)


def rows_of(body: Any, now: datetime) -> list[NewReading]:
    """Return the readings that were sent; Unclear with the first thing that is wrong."""
    if not isinstance(body, dict):
        raise Unclear("Send an object with 'celsius', or with 'readings'.")
    parts = body.get("readings", [body])
    if not isinstance(parts, list) or not 0 < len(parts) <= MOST_READINGS:
        raise Unclear(f"'readings' is a list of 1 to {MOST_READINGS}.")
    rows = []
    for number, part in enumerate(parts, 1):
        try:
            rows.append(row_of(part, now))
        except (ValueError, ArithmeticError) as error:
            where = f"Reading {number}: " if "readings" in body else ""
            raise Unclear(f"{where}{error}") from error
    return rows


def row_of(part: Any, now: datetime) -> NewReading:
    """Read one reading; ValueError with a sentence."""
    if not isinstance(part, dict):
        raise ValueError("A reading is an object.")  # noqa: TRY004 - all of them are one refusal
    if ("celsius" in part) == ("fahrenheit" in part):
        raise ValueError("Give 'celsius' or 'fahrenheit', one of them.")
    if "celsius" in part:
        value = figure_of(part, "celsius")
    else:
        value = celsius_of(figure_of(part, "fahrenheit"))
    humidity = None
    if part.get("humidity") is not None:
        humidity = check_humidity(figure_of(part, "humidity"))
    return NewReading(instant_of(part.get("at"), now), check_celsius(value), humidity)


def figure_of(part: dict[str, Any], name: str) -> Decimal:
    """Return a figure of a reading."""
    value = part[name]
    if not isinstance(value, Decimal):
        raise ValueError(f"'{name}' is a figure.")  # noqa: TRY004 - as above
    return value


def instant_of(text: Any, now: datetime) -> datetime:
    """Return when it was read; now where nothing is said."""
    if text is None:
        return now.replace(microsecond=0)
    try:
        at = datetime.fromisoformat(text)
    except (TypeError, ValueError) as error:
        raise ValueError("'at' is an ISO 8601 instant, such as 2026-05-14T09:00:00Z.") from error
    if at.tzinfo is None:
        raise ValueError("'at' needs its offset from UTC, such as a Z at its end.")
    return check_instant(at, now)
