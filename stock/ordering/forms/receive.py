"""Goods-in on a phone: for each line what came, and what its label says."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django import forms

from jobs.kernel.forms import OnceForm
from jobs.work.forms import FilesField, SeveralFiles
from stock.catalogue.enums import ItemKind, PlaceKind
from stock.catalogue.models import Item, Place
from stock.ledger.rules import months_after, plural, read_use_by
from stock.ordering.enums import Wrap
from stock.ordering.models import OrderLine
from stock.ordering.rules import Arrived
from stock.ordering.rules.goods import MOST_PACKS
from stock.ordering.services import ReceivedLine

FIGURES = (
    ("good", "Good"), ("held", "Held"), ("refused", "Refused"), ("short", "Short"),
    ("over", "Over"),
)  # fmt: skip
DATE_HELP = "As printed: 05/2027 or 14/05/2027. Or 'made 14/05/2026'."


@dataclass(frozen=True)
class LineFields:
    """The bound fields of one line as the page lays them out."""

    line: OrderLine
    outstanding: str
    good: Any
    labels: list[Any]
    amiss: list[Any]
    second: list[Any]

    @property
    def amiss_open(self) -> bool:
        """Whether the folded part has something in it to look at."""
        return any(field.errors or field.data for field in self.amiss)

    @property
    def second_open(self) -> bool:
        return any(field.errors or field.data for field in self.second)


class ReceiveForm(OnceForm):
    """One delivery. Every line may have a second label: another batch or run of it."""

    place = forms.ModelChoiceField(label="Put into", queryset=Place.objects.none())
    delivery_note = forms.CharField(label="Delivery note", required=False, max_length=40)
    carriage = forms.DecimalField(
        label="Carriage charged (£, without VAT)", min_value=0, max_digits=9, decimal_places=2,
        widget=forms.NumberInput({"class": "short", "inputmode": "decimal"}),
    )  # fmt: skip

    wrap = forms.ChoiceField(
        label="Condition of the wrap", required=False, choices=[("", "not said"), *Wrap.choices]
    )
    wrap_note = forms.CharField(label="What was seen", required=False, max_length=200)
    file = FilesField(
        label="Photos of damage", required=False,
        widget=SeveralFiles({"accept": "image/*,application/pdf"}),
        help_text="Before it is unwrapped: the load, the wrap, the label. The carrier wants them.",
    )  # fmt: skip

    def __init__(self, *args: Any, lines: Sequence[OrderLine], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.lines = list(lines)
        for name in ("wrap", "wrap_note", "file"):
            self.fields[name].silent_optional = True  # type: ignore[attr-defined]
        self.fields["place"].queryset = Place.objects.filter(  # type: ignore[attr-defined]
            kind__in=[PlaceKind.BAY, PlaceKind.VAN], archived_at=None
        )
        for line in self.lines:
            self._add_figures(line)
            self._add_label(line, "")
            self._add_second(line)
            self.fields[f"close_{line.pk}"] = forms.BooleanField(
                required=False, label="Nothing more will come of this line"
            )

    def _add_figures(self, line: OrderLine) -> None:
        for name, label in FIGURES:
            field = _packs(label, line.item)
            field.initial = line.packs_outstanding if name == "good" else None
            self.fields[f"{name}_{line.pk}"] = field

    def _add_second(self, line: OrderLine) -> None:
        for name, label in (("good", "Good of this label"), ("held", "Held of this label")):
            self.fields[f"{name}_{line.pk}_2"] = _packs(label, line.item)
        self._add_label(line, "_2")

    def _add_label(self, line: OrderLine, end: str) -> None:
        for name, field in label_fields(line.item):
            self.fields[f"{name}_{line.pk}{end}"] = field
        self.fields[f"note_{line.pk}{end}"] = _text("What is wrong with it", 200)

    # -- as the page lays it out ---------------------------------------------------------------

    def line_fields(self) -> list[LineFields]:
        """Return the fields line by line."""
        found = []
        for line in self.lines:
            pack = plural(line.item.pack_name) if line.packs_outstanding != 1 else (
                line.item.pack_name
            )  # fmt: skip
            labels = [name for name, _ in label_fields(line.item)]
            amiss = [*(name for name, _ in FIGURES[1:]), "note", "close"]
            found.append(
                LineFields(
                    line=line,
                    outstanding=f"{line.packs_outstanding} {pack}",
                    good=self[f"good_{line.pk}"],
                    labels=[self[f"{name}_{line.pk}"] for name in labels],
                    amiss=[self[f"{name}_{line.pk}"] for name in amiss],
                    second=[
                        self[f"{name}_{line.pk}_2"] for name in ("good", "held", *labels, "note")
                    ],
                )
            )
        return found

    # -- as the service takes it -----------------------------------------------------------------

    def clean(self) -> dict[str, Any]:
        values: dict[str, Any] = super().clean() or self.cleaned_data
        rows = []
        for line in self.lines:
            for end in ("", "_2"):
                row = self._row(line, end, values)
                if row.arrived.anything or row.close:
                    rows.append(row)
        values["rows"] = rows
        if values.get("wrap") in Wrap.BAD and not values.get("wrap_note"):
            self.add_error("wrap_note", "Say what was seen; a claim rests on it.")
        return values

    def clean_file(self) -> list[Any]:
        return [file for file in self.cleaned_data["file"] or [] if file]

    def _row(self, line: OrderLine, end: str, values: dict[str, Any]) -> ReceivedLine:
        def value(name: str) -> Any:
            return values.get(f"{name}_{line.pk}{end}")

        dates = {
            name: self._use_by(f"{name}_{line.pk}{end}", line.item, value(name))
            for name in ("expiry_a", "expiry_b", "expiry")
        }
        return ReceivedLine(
            line_id=line.pk,
            arrived=Arrived(**{name: value(name) or 0 for name, _ in FIGURES}),
            run=value("run") or "",
            batch_a=value("batch_a") or "",
            batch_b=value("batch_b") or "",
            note=value("note") or "",
            close=bool(value("close")),
            **dates,
        )

    def _use_by(self, name: str, item: Item, text: str | None) -> date | None:
        if not text:
            return None
        try:
            return read_label_date(text, item)
        except (ValueError, OverflowError):
            self.add_error(name, f"'{text}' is not a date. {DATE_HELP}")
            return None


def read_label_date(text: str, item: Item) -> date:
    """Read a use-by date, or 'made' and a day from which the item's shelf life runs.

    ValueError where it cannot be read, or where the item's shelf life is not known.
    """
    text = text.strip().lower()
    if not text.startswith("made"):
        return read_use_by(text)
    rest = text.removeprefix("made").strip()
    if item.shelf_life_months is None:
        raise ValueError("no shelf life is known")
    made = read_use_by(rest)
    # Only a month is printed: the first of it is the careful reading.
    if rest.count("/") == 1:
        made = made.replace(day=1)
    return months_after(made, item.shelf_life_months)


def label_fields(item: Item) -> list[tuple[str, forms.Field]]:
    """Return the fields for what the label of an item says."""
    if item.kind == ItemKind.KIT:
        return [
            ("batch_a", _text("Batch of part A")), ("expiry_a", _date("Use part A by")),
            ("batch_b", _text("Batch of part B")), ("expiry_b", _date("Use part B by")),
        ]  # fmt: skip
    found: list[tuple[str, forms.Field]] = []
    if item.kept_in_lots:
        found.append(("run", _text("Production run", needed=item.run_matched)))
    if item.shelf_life_months:
        found.append(("expiry", _date("Use by")))
    return found


def _packs(label: str, item: Item) -> forms.IntegerField:
    field = forms.IntegerField(
        label=label, required=False, min_value=0, max_value=MOST_PACKS,
        widget=forms.NumberInput({"class": "short", "inputmode": "numeric"}),
    )  # fmt: skip
    field.unit = plural(item.pack_name)  # type: ignore[attr-defined]
    field.silent_optional = True  # type: ignore[attr-defined]
    return field


def _text(label: str, longest: int = 30, *, needed: bool = False) -> forms.CharField:
    field = forms.CharField(
        label=label, required=False, max_length=longest,
        help_text="It is printed on the bags; one run serves a colour." if needed else "",
    )  # fmt: skip
    field.silent_optional = True  # type: ignore[attr-defined]
    return field


def _date(label: str) -> forms.CharField:
    field = forms.CharField(label=label, required=False, max_length=20, help_text=DATE_HELP)
    field.silent_optional = True  # type: ignore[attr-defined]
    return field


class UndoForm(OnceForm):
    """Why a delivery is undone."""

    reason = forms.CharField(
        label="Why is it undone?", max_length=200, widget=forms.Textarea({"rows": 2})
    )


class DamageForm(forms.Form):
    """Photos that were taken after it was booked."""

    file = FilesField(
        label="Photos", widget=SeveralFiles({"accept": "image/*,application/pdf"}),
        help_text="JPEG, PNG, WebP or PDF; several at once.",
    )  # fmt: skip
    caption = forms.CharField(label="What they show", max_length=200, required=False)
