"""The form of the stages in which a draft is paid."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

from django import forms

from jobs.billing.rules import Stage
from quotes.quoting.forms.drafts import PercentField, PoundsField, VersionedForm
from quotes.quoting.models import Revision
from quotes.quoting.rules import ALL, DEPOSIT, LONGEST, MOST_STAGES, REST, TOO_MANY, planned_stages

LEAST = Decimal("0.01")
# Between the deposit and the last stage.
ROWS = range(1, MOST_STAGES - 1)
PREFIX = "plan"
ROW_KEY = re.compile(rf"{PREFIX}-(?:words|percent|amount)_(\d+)\Z")


class PlanForm(VersionedForm):
    """Deposit, up to four stages, and the words of the last one.

    lenient: a stage that is only half typed is left out, as while somebody is typing it.
    """

    prefix = PREFIX

    deposit_percent = PercentField(
        label="deposit", required=False, help_text="asked for on acceptance; empty: none"
    )
    last_words = forms.CharField(
        label="last stage", max_length=LONGEST, required=False,
        help_text=f"it takes what is left; empty: '{REST}'",
    )  # fmt: skip

    def __init__(self, *args: Any, lenient: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.lenient = lenient
        for n in ROWS:
            words = forms.CharField(
                label=f"stage {n}, when it is due", max_length=LONGEST, required=False
            )
            percent = PercentField(label="share of the price", min_value=LEAST, required=False)
            amount = PoundsField(label="or before VAT", min_value=LEAST, required=False)
            self.fields |= {f"words_{n}": words, f"percent_{n}": percent, f"amount_{n}": amount}
        for name in self.fields:
            self.fields[name].silent_optional = True  # type: ignore[attr-defined]

    @property
    def rows(self) -> list[tuple[Any, Any, Any]]:
        """The fields of each stage between: words, share, amount."""
        return [(self[f"words_{n}"], self[f"percent_{n}"], self[f"amount_{n}"]) for n in ROWS]

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        found = (ROW_KEY.match(key) for key, value in self.data.items() if str(value).strip())
        if any(match and int(match[1]) not in ROWS for match in found):
            self.add_error(None, TOO_MANY)
        for n in ROWS:
            words, percent, amount = self._row(cleaned, n)
            if self.lenient or self._wrong(n) or not (words or percent or amount):
                continue
            if not words:
                self.add_error(f"words_{n}", "Say when this stage is due.")
            elif not percent and not amount:
                self.add_error(f"percent_{n}", "Give a share in per cent or an amount before VAT.")
        for n in ROWS:
            if not self._wrong(n) and all(self._row(cleaned, n)[1:]):
                self.add_error(f"amount_{n}", "Give a share or an amount, not both.")
        return cleaned

    def _wrong(self, n: int) -> bool:
        return any(f"{name}_{n}" in self.errors for name in ("words", "percent", "amount"))

    @staticmethod
    def _row(cleaned: dict[str, Any], n: int) -> tuple[str, Decimal | None, Decimal | None]:
        words = (cleaned.get(f"words_{n}") or "").strip()
        return words, cleaned.get(f"percent_{n}"), cleaned.get(f"amount_{n}")

    @property
    def stages(self) -> tuple[Stage, ...]:
        """The stages as the service takes them."""
        deposit = self.cleaned_data["deposit_percent"] or Decimal(0)
        rows = [
            Stage(words, percent, amount)
            for words, percent, amount in (self._row(self.cleaned_data, n) for n in ROWS)
            if words and (percent or amount)
        ]
        head = [Stage(DEPOSIT, percent=deposit, deposit=True)] if deposit else []
        last = self.cleaned_data["last_words"].strip()
        if deposit == 100 and not rows and not last:
            return tuple(head)
        return (*head, *rows, Stage(last or (REST if head or rows else ALL)))


def plan_initial(revision: Revision) -> dict[str, Any]:
    """Return what the form of the stages begins with."""
    stages = planned_stages(revision.deposit_percent, revision.payment_plan)
    rows = [stage for stage in stages if not stage.deposit]
    last = rows[-1].words if rows else ""
    found: dict[str, Any] = {
        "version": revision.version,
        "deposit_percent": revision.deposit_percent or None,
        "last_words": "" if last in {REST, ALL} else last,
    }
    for n, stage in enumerate(rows[:-1], start=1):
        found |= {
            f"words_{n}": stage.words, f"percent_{n}": stage.percent, f"amount_{n}": stage.amount,
        }  # fmt: skip
    return found
