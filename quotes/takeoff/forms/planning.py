"""What the planning question asks beside the survey."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms

from quotes.takeoff.models import PLANNING_QUESTIONS, PlanningAnswers


class PlanningForm(forms.ModelForm[PlanningAnswers]):
    """The site's nation, the house, and where the water goes."""

    class Meta:
        model = PlanningAnswers
        fields = ("nation", *PLANNING_QUESTIONS, "front_m2")
        labels = {
            "front_m2": "of the survey, at the front",
            "article_4": "Article 4 direction or conservation area",
        }
        help_texts = {
            "front_m2": "leave it empty where all of it lies at the front",
            "porous_below": "the sub-base down to the soil; a well-graded one with fines does not",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        front: Any = self.fields["front_m2"]
        front.unit, front.silent_optional = "m²", True
        front.widget = forms.TextInput(attrs={"inputmode": "decimal", "class": "short"})

    def clean_front_m2(self) -> Decimal | None:
        """Return the area; nothing at all at the front is said by the survey, not by nought."""
        front: Decimal | None = self.cleaned_data["front_m2"]
        if front is not None and front <= 0:
            raise forms.ValidationError("More than 0 m², or empty for all of it.")
        return front

    @property
    def answers(self) -> dict[str, str]:
        """The answers, as the service takes them."""
        return {name: self.cleaned_data[name] for name in ("nation", *PLANNING_QUESTIONS)}
