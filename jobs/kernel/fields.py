"""Fields whose figures the database can add, compare and refuse exactly.

SQLite keeps a DecimalField as a float and then refuses 0.10 + 0.20 = 0.30; so money is whole
pence and stock is whole base units.
"""

from __future__ import annotations

from decimal import Decimal, InvalidOperation
from typing import TYPE_CHECKING, Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import CheckConstraint, Q, TextChoices
from django.utils.functional import cached_property

HUNDRED = Decimal(100)
MOST_PENCE = 9_000_000_000_000_00


if TYPE_CHECKING:
    from django.db.models.expressions import Combinable


class PenceField(models.BigIntegerField):  # type: ignore[type-arg]
    """Pounds as Decimal in Python, whole pence in the database."""

    # What the type checker takes for this field's values.
    _pyi_private_set_type: Decimal | int | str | Combinable  # type: ignore[assignment]
    _pyi_private_get_type: Decimal  # type: ignore[assignment]

    description = "An amount in pounds, kept as whole pence"

    def from_db_value(self, value: int | None, *_: object) -> Decimal | None:
        return None if value is None else (Decimal(value) / HUNDRED).quantize(Decimal("0.01"))

    def to_python(self, value: Any) -> Decimal | None:
        if value is None or value == "":
            return None
        if isinstance(value, float):
            raise ValidationError("Give money as a decimal figure, not as a float.")
        try:
            amount = Decimal(value)
            exact = amount.is_finite() and (amount * HUNDRED) % 1 == 0
        except (InvalidOperation, TypeError, ValueError) as error:
            raise ValidationError(f"'{value}' is not an amount; write it like 1234.50.") from error
        if not exact or abs(amount * HUNDRED) > MOST_PENCE:
            raise ValidationError(
                f"'{value}' is not an amount in whole pence; write it like 1234.50."
            )
        return amount.quantize(Decimal("0.01"))

    def get_prep_value(self, value: Any) -> Any:
        if value is None or hasattr(value, "resolve_expression"):
            return value
        amount = self.to_python(value)
        return None if amount is None else int(amount * HUNDRED)

    def get_db_prep_value(self, value: Any, connection: Any, prepared: bool = False) -> Any:  # noqa: ARG002
        return value if prepared else self.get_prep_value(value)

    def formfield(self, **kwargs: Any) -> Any:
        kwargs.pop("min_value", None)
        kwargs.pop("max_value", None)
        wanted: dict[str, Any] = {
            "form_class": forms.DecimalField, "decimal_places": 2, "max_digits": 15,
        }  # fmt: skip
        return models.Field.formfield(self, **wanted | kwargs)

    @cached_property
    def validators(self) -> list[Any]:
        # The integer range of the column is checked by to_python; the parent would compare pounds.
        return list(self._validators)  # type: ignore[attr-defined]

    def value_to_string(self, obj: models.Model) -> str:
        return str(self.value_from_object(obj))


class BaseUnitField(models.BigIntegerField):  # type: ignore[type-arg]
    """A quantity of stock in its item's base unit: whole pieces, g, ml or mm."""

    description = "A whole number of an item's base units"


def one_of(field: str, choices: type[TextChoices], *, name: str) -> CheckConstraint:
    """Return the constraint that lets the database refuse a word outside `choices`."""
    return CheckConstraint(condition=Q(**{f"{field}__in": choices.values}), name=name)


def at_least(field: str, least: int | Decimal, *, name: str) -> CheckConstraint:
    """Return the constraint field >= least."""
    return CheckConstraint(condition=Q(**{f"{field}__gte": least}), name=name)


def more_than(field: str, bound: int | Decimal, *, name: str) -> CheckConstraint:
    """Return the constraint field > bound."""
    return CheckConstraint(condition=Q(**{f"{field}__gt": bound}), name=name)
