"""What the style page shows: one of every element, with invented names and figures."""

from __future__ import annotations

import math
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from django import forms
from django.http import HttpRequest
from django.utils.safestring import SafeString

from jobs.kernel import clock
from jobs.kernel.charts import Bar, Span, draw_bars, draw_strip, draw_trace
from jobs.kernel.drawing import PlanArea, PlanCut, draw_plan
from jobs.kernel.registries import TodayEntry
from jobs.kernel.tables import (
    DayColumn,
    FieldBookTable,
    FigureColumn,
    MoneyColumn,
    StateColumn,
    VerbColumn,
)

READINGS = (9, 10, 13, 17, 22, 27, 31, 32.5, 32, 28, 24, 19, 16)
USES = [("pedestrian", "Feet only"), ("vehicles", "Cars"), ("heavy", "Lorries")]


class SampleForm(forms.Form):
    """Every kind of field once."""

    name = forms.CharField(label="Site", help_text="As the customer calls it.")
    email = forms.EmailField(label="E-mail", required=False)
    depth = forms.DecimalField(
        label="Depth", min_value=15, widget=forms.TextInput(attrs={"inputmode": "decimal"})
    )
    day = forms.DateField(label="Laying day", widget=forms.DateInput(attrs={"type": "date"}))
    base = forms.ChoiceField(
        label="Base", choices=[("", "Choose"), ("tarmac", "Tarmac"), ("concrete", "Concrete")]
    )
    use = forms.ChoiceField(label="Who goes over it", choices=USES, widget=forms.RadioSelect)
    checks = forms.MultipleChoiceField(
        label="Seen on site",
        choices=[("water", "Water"), ("power", "Power"), ("store", "A dry store")],
        widget=forms.CheckboxSelectMultiple,
        required=False,
    )
    notes = forms.CharField(label="Access", widget=forms.Textarea, required=False)
    agreed = forms.BooleanField(label="The car will be moved the evening before", required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["depth"].unit = "mm"  # type: ignore[attr-defined]


class YardTable(FieldBookTable):
    """What waits in the yard, with a sum ruled below."""

    item = StateColumn(verbose_name="Item", footer="in all")
    packs = FigureColumn(verbose_name="Packs", total=True)
    value = MoneyColumn(verbose_name="Value", total=True)
    state = StateColumn(verbose_name="State", level="level")
    use_by = DayColumn(verbose_name="Use by")
    step = VerbColumn("open", url=lambda row: row["url"])


def yard_rows(now: datetime) -> list[dict[str, Any]]:
    """Return invented lots."""
    day = clock.london_day(now)
    return [
        {"item": "Resin kit, UV-stable · lot K-118", "packs": 6, "value": Decimal("318.00"),
         "state": "dies before use", "level": "look", "use_by": day + timedelta(7), "url": "#a"},
        {"item": "Fen grey 1–2 · run 26-0417", "packs": 3, "value": Decimal("23.85"),
         "state": "held", "level": "stop", "use_by": None, "url": "#release"},
        {"item": "Harbour buff 2–6 · run 26-0502", "packs": 40, "value": Decimal("1310.40"),
         "state": "ready", "level": "ready", "use_by": None, "url": ""},
    ]  # fmt: skip


def clock_entries(now: datetime) -> list[TodayEntry]:
    """Return an invented margin list around the present."""
    return [
        TodayEntry(
            at=now + timedelta(minutes=112, seconds=30),
            title="Order 44 bags of harbour buff 2–6, all one run",
            why="Orchard Bank, laying Tuesday. 9 odd bags lie in bay 3, but they are of other runs "
            "and do not count. Afterwards by telephone only, until 15:30.",
            url="#order", button="Draft the order", level="stop",
        ),
        TodayEntry(
            at=now + timedelta(hours=3),
            title="Goods in: order 0412, 24 kits and 72 bags",
            why="Two lines have a run to check against what is reserved.",
            url="#receive", button="Receive", clock_note="lorry due",
        ),
        TodayEntry(
            at=None, title="Load van 2 for Millrace Cottage",
            why="17 kits, 85 bags, 17 sand: 1,904 kg. Usable payload 1,120 kg: two trips.",
            url="#pick", button="Open the pick list", clock_note="before the gate shuts",
        ),
    ]  # fmt: skip


def sample_plan() -> SafeString:
    """Return a drive with a cover and a day joint, a path, and an L with a slanting side."""
    turns = [2 * math.pi * n / 24 for n in range(24)]
    cover = [(6.5 + 0.3 * math.cos(turn), 3.8 + 0.3 * math.sin(turn)) for turn in turns]
    drive = PlanArea(
        "drive",
        rings=[[(0, 0), (8.4, 0), (8.4, 5.1), (0, 5.1)]],
        deductions=[PlanCut(cover, "cover")],
        label="drive 42.6 m²",
        bays=[("bay A", 1.5, 0.5), ("bay B", 5.7, 0.5)],
    )
    strip = [(10, -0.9), (11.2, -0.9), (11.2, 5.1), (10, 5.1)]
    path = PlanArea("path", rings=[strip], label="path 7.20 m²")
    return draw_plan([drive, path], joints=[((3, 0), (3, 5.1))], title="Plan of Millrace Cottage")


def sample_outline() -> SafeString:
    """Return areas measured each from its own corner, one of them an L with a slant."""
    court = PlanArea("court", rings=[[(0, 0), (6, 0), (6, 2.5), (3, 2.5), (2, 5.5), (0, 5.5)]])
    step = PlanArea("step", rings=[[(0, 0), (2.4, 0), (1.2, 2.0)]])
    return draw_plan([court, step], title="Areas of Orchard Bank")


def charts(now: datetime) -> dict[str, SafeString]:
    """Return one of each chart."""
    seven = clock.at_wall(clock.london_day(now), datetime.min.time()) + timedelta(hours=7)
    last_mix = seven + timedelta(hours=7, minutes=40)
    strip = draw_strip(
        seven, seven + timedelta(hours=13),
        [
            Span(seven, seven + timedelta(hours=2), "stop", "dew on the base"),
            Span(seven + timedelta(hours=2), last_mix, "ready", "dry, 9 to 17 °C"),
            Span(last_mix, last_mix + timedelta(hours=4), "look", "the film wants four hours"),
        ],
        title="Dry window",
    )  # fmt: skip
    trace = draw_trace(
        [(seven + timedelta(hours=n), value) for n, value in enumerate(READINGS)],
        unit="°C", title="Container, kits", low=5, high=30,
    )  # fmt: skip
    bars = draw_bars(
        [Bar("Materials", 3120, 3050), Bar("Labour", 1450, 1600), Bar("Plant", 280)],
        unit="£", title="Cost against budget",
    )  # fmt: skip
    return {"strip": strip, "trace": trace, "bars": bars}


def elements(request: HttpRequest) -> dict[str, Any]:
    """Return the style page's context."""
    now = getattr(request, "now", None) or clock.now()
    wrong = SampleForm({"email": "x", "depth": "9", "use": "cars"})
    wrong.is_valid()
    empty = SampleForm(prefix="new")
    table = YardTable(yard_rows(now), request=request, order_by=("-packs",))
    table.paginate(per_page=25)
    day = clock.london_day(now)
    return {
        "title": "Every element, once",
        "intro": "for people who build screens",
        "now": now,
        "entries": clock_entries(now),
        "table": table,
        "plan": sample_plan(),
        "outline": sample_outline(),
        **charts(now),
        "wrong": wrong,
        "form": empty,
        "facts": [
            ("Customer", "Anna Petrova", "#customer"), ("Telephone", "01632 960123"),
            ("Area", "42.56 m²"), ("Guarantee", None),
        ],
        "stages": [
            ("enquiry", day - timedelta(20)), ("surveyed", day - timedelta(12)),
            ("quoted", day - timedelta(9)), ("won", None), ("booked", None), ("complete", None),
        ],
        "figures": {
            "pounds": Decimal("1234.5"), "less": Decimal(-12), "metres": Decimal("8.4"),
            "grams": 1360000, "kits": 17, "until": now + timedelta(minutes=112, seconds=30),
        },
    }  # fmt: skip
