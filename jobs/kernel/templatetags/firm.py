"""How figures, states and times are written on every page; loaded everywhere as a builtin.

Figures come in as Decimal or int; nothing is computed here but the way it is written.
"""

from __future__ import annotations

from datetime import date, datetime
from decimal import ROUND_HALF_UP, Decimal, InvalidOperation
from typing import Any

from django import template
from django.http import QueryDict

from jobs.kernel import clock
from jobs.kernel.sentences import sentence_of

register = template.Library()

DASH = "–"
MINUS = "\N{MINUS SIGN}"
THIN = "\N{NO-BREAK SPACE}"
# Three levels only; every other word for one of them is listed here, so that a mark never guesses.
LEVELS = {
    **dict.fromkeys(("ready", "ok", "success", "done"), "ready"),
    **dict.fromkeys(("look", "sign", "warning"), "look"),
    **dict.fromkeys(("stop", "error", "held", "refuse"), "stop"),
}
MARKS = {"ready": "●", "look": "▲", "stop": "■"}
SYMBOLS = {"g", "kg", "t", "mm", "m", "m²", "m³", "ml", "l", "h", "min", "s", "°C", "%", "kg/m²"}
# Base units of the yard, the unit people read, and how many of the one make the other.
READ_AS = {"g": ("kg", 1000), "ml": ("l", 1000), "mm": ("m", 1000)}
WORDS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
# Units that a count of things is written without: '3', not '3 each'.
COUNTED = frozenset({"each", "sum"})


def _figure(value: Any) -> Decimal | None:
    """Return the value as a Decimal, or None where there is no figure to write."""
    if value is None or value == "":
        return None
    try:
        found = value if isinstance(value, Decimal) else Decimal(str(value))
    except InvalidOperation:
        return None
    return found if found.is_finite() else None


def _written(value: Decimal, places: int | None) -> str:
    """Write a figure with commas and a true minus; without places, no trailing noughts."""
    if places is None:
        text = f"{abs(value):,f}"
        text = text.rstrip("0").rstrip(".") if "." in text else text
    else:
        step = Decimal(1).scaleb(-places)
        text = f"{abs(value).quantize(step, rounding=ROUND_HALF_UP):,f}"
    below = value < 0 and any(digit in text for digit in "123456789")
    return f"{MINUS}{text}" if below else text


def _with_unit(value: Any, places: int | None, unit: str) -> str:
    figure = _figure(value)
    return DASH if figure is None else f"{_written(figure, places)}{THIN}{unit}"


# -- figures ---------------------------------------------------------------------------------


@register.filter
def money(value: Any) -> str:
    """Write pounds and pence: '£1,234.50', '−£12.00'; '–' where there is none."""
    figure = _figure(value)
    if figure is None:
        return DASH
    text = _written(figure, 2)
    return f"{MINUS}£{text[1:]}" if text.startswith(MINUS) else f"£{text}"


@register.filter
def signed_money(value: Any) -> str:
    """Write a difference in pounds with its sign: '+£12.00', '−£12.00', '£0.00'."""
    text = money(value)
    figure = _figure(value)
    return f"+{text}" if figure is not None and figure > 0 and text != "£0.00" else text


@register.filter
def rate(value: Any) -> str:
    """Write a unit price with at least two and at most four places: '£0.1250', '£18.50'."""
    figure = _figure(value)
    if figure is None:
        return DASH
    places = 2 if figure == figure.quantize(Decimal("0.01")) else 4
    text = _written(figure, places)
    return f"{MINUS}£{text[1:]}" if text.startswith(MINUS) else f"£{text}"


@register.filter
def figure(value: Any, places: int | str = "") -> str:
    """Write a bare figure with commas; `places` fixes the digits after the point."""
    found = _figure(value)
    if found is None:
        return DASH
    return _written(found, int(places) if places != "" else None)


@register.filter
def signed(value: Any, places: int | str = "") -> str:
    """Write a difference with its sign: '+3', '−3', '0'."""
    text = figure(value, places)
    found = _figure(value)
    return f"+{text}" if found is not None and found > 0 else text


@register.filter
def metres(value: Any) -> str:
    """Write a length in metres with two places: '8.40 m'."""
    return _with_unit(value, 2, "m")


@register.filter
def square_metres(value: Any) -> str:
    """Write an area in square metres with two places: '42.56 m²'."""
    return _with_unit(value, 2, "m²")


@register.filter
def kg(value: Any) -> str:
    """Write a mass in kilograms with one place: '1,360.0 kg'."""
    return _with_unit(value, 1, "kg")


@register.filter
def mm(value: Any) -> str:
    """Write a depth in whole millimetres, or with what it has: '20 mm', '17.5 mm'."""
    return _with_unit(value, None, "mm")


@register.filter
def celsius(value: Any) -> str:
    """Write a temperature: '9 °C', '−2.5 °C'."""
    return _with_unit(value, None, "°C")


@register.filter
def percent(value: Any) -> str:
    """Write a percentage: '5 %'."""
    return _with_unit(value, None, "%")


@register.filter
def quantity(value: Any, unit: str = "") -> str:
    """Write a figure with its unit: '17 kits', '1 kit', '20 kg', '3 boxes' (unit 'box,boxes').

    A unit symbol stays as it is; a word takes an s unless its plural is given after a comma.
    Of things by the piece the figure alone is written.
    """
    found = _figure(value)
    if found is None:
        return DASH
    one, _, many = ("" if unit in COUNTED else unit).partition(",")
    if one and one not in SYMBOLS and found != 1:
        one = many or f"{one}s"
    return f"{_written(found, None)}{THIN}{one}" if one else _written(found, None)


@register.filter
def base_quantity(value: Any, unit: str = "") -> str:
    """Write a quantity kept in the yard's base unit as people read it: 1360000 g as '1,360 kg'."""
    found = _figure(value)
    if found is None:
        return DASH
    read, per = READ_AS.get(unit, (unit, 1))
    if unit in READ_AS and (not found or abs(found) >= per):
        return f"{_written(found / per, None)}{THIN}{read}"
    return quantity(found, unit)


@register.filter
def in_words(value: Any) -> str:
    """Write a small count in words: 0 'no', 3 'three', 12 '12'."""
    found = _figure(value)
    if found is None:
        return DASH
    small = found == int(found) and 0 <= found < len(WORDS)
    return WORDS[int(found)] if small else _written(found, None)


@register.filter
def or_dash(value: Any) -> Any:
    """Write '–' where there is nothing to write."""
    return DASH if value is None or value == "" else value


# -- states ----------------------------------------------------------------------------------


@register.filter
def level(value: Any) -> str:
    """Return 'ready', 'look', 'stop' or '' for any word that means one of them."""
    return LEVELS.get(str(value), "")


@register.filter
def mark(value: Any) -> str:
    """Return the shape of a level: ● ready, ▲ look, ■ stop; '' for a plain note."""
    return MARKS.get(level(value), "")


# -- times -----------------------------------------------------------------------------------


@register.filter
def day(value: Any) -> str:
    """Write a day: 'Tue 19 May'; an instant is taken on London's clock."""
    if isinstance(value, datetime):
        value = clock.london_day(value)
    return f"{value:%a} {value.day} {value:%b}" if isinstance(value, date) else DASH


@register.filter
def day_year(value: Any) -> str:
    """Write a day with its year: 'Tue 19 May 2026'."""
    if isinstance(value, datetime):
        value = clock.london_day(value)
    return f"{day(value)} {value.year}" if isinstance(value, date) else DASH


@register.filter
def wall(value: Any) -> str:
    """Write the time of day on London's clock: '11:45'."""
    return f"{value.astimezone(clock.LONDON):%H:%M}" if isinstance(value, datetime) else DASH


@register.filter
def length_of_time(minutes: Any) -> str:
    """Write minutes as people say them: '27 min', '1 h 52 min', '2 days 3 h'."""
    found = _figure(minutes)
    if found is None:
        return DASH
    total = int(found)
    days, rest = divmod(total, 1440)
    hours, left = divmod(rest, 60)
    if days:
        head = f"{days}{THIN}day{'' if days == 1 else 's'}"
        return f"{head} {hours}{THIN}h" if hours else head
    if hours:
        return f"{hours}{THIN}h {left}{THIN}min" if left else f"{hours}{THIN}h"
    return f"{left}{THIN}min"


@register.filter
def how_long_left(at: Any, now: Any = None) -> str:
    """Write how far off an instant is from `now`: 'in 1 h 52 min', '12 min ago', 'now'."""
    if not isinstance(at, datetime):
        return ""
    # By timestamps: two instants of one zone subtract as wall times, which the clock change bends.
    seconds = at.timestamp() - (now if isinstance(now, datetime) else clock.now()).timestamp()
    minutes = int(abs(seconds) // 60)
    if minutes == 0:
        return "now"
    text = length_of_time(minutes)
    return f"in {text}" if seconds > 0 else f"{text} ago"


# -- tags ------------------------------------------------------------------------------------


@register.simple_tag(takes_context=True)
def query_string(context: template.Context, **changes: Any) -> str:
    """Return '?…' with some parameters replaced; None or '' takes one away."""
    request = context.get("request")
    query = request.GET.copy() if request is not None else QueryDict(mutable=True)
    for name, value in changes.items():
        if value is None or value == "":
            query.pop(name, None)
        else:
            query[name] = str(value)
    return f"?{query.urlencode()}"


@register.simple_tag(takes_context=True)
def may(context: template.Context, permission: str) -> bool:
    """Return whether the user holds a permission: `{% may 'jobs.write_quote' as can_write %}`."""
    request = context.get("request")
    return request is not None and request.user.has_perm(permission)


@register.filter
def in_our_words(sentence: object) -> str:
    """Write a field's sentence in our words where it is one of Django's own."""
    return sentence_of(str(sentence))
