"""Which blend a survey's colour groups get; the take-off itself is worked out afresh each time."""

from __future__ import annotations

from decimal import Decimal

from django.db import models

from jobs.kernel.fields import at_least, more_than, one_of
from jobs.sites.enums import Answer
from jobs.sites.models import answer
from quotes.takeoff.enums import Nation


class BlendChoice(models.Model):
    """The blend for one colour group of a survey."""

    colour_group = models.OneToOneField(
        "jobs.ColourGroup", on_delete=models.PROTECT, related_name="+"
    )
    blend = models.ForeignKey("stock.Blend", on_delete=models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return f"{self.blend} for {self.colour_group}"


class TakeOffSettings(models.Model):
    """What a survey's take-off reckons with besides its measurements."""

    survey = models.OneToOneField("jobs.Survey", on_delete=models.PROTECT, related_name="+")
    waste_percent = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal(5))
    air_c = models.DecimalField("air (°C)", max_digits=4, decimal_places=1, default=Decimal(15))
    part_mixes = models.BooleanField(default=False)
    spare_mixes = models.PositiveSmallIntegerField(default=0)

    class Meta:
        constraints = [at_least("waste_percent", Decimal(0), name="quotes_takeoffsettings_waste")]

    def __str__(self) -> str:
        return f"take-off of survey {self.survey_id}"


PLANNING_QUESTIONS = (
    "house", "listed", "article_4", "dropped_kerb", "porous_below", "drains_on_plot",
)  # fmt: skip


class PlanningAnswers(models.Model):
    """What the front-garden planning question asks beside the survey's own answers."""

    survey = models.OneToOneField("jobs.Survey", on_delete=models.PROTECT, related_name="+")
    nation = models.CharField(max_length=16, choices=Nation.choices, default=Nation.UNKNOWN)
    house = answer("a dwelling house, no flats and no conversion")
    listed = answer("a listed building")
    article_4 = answer("Article 4 direction or conservation area")
    dropped_kerb = answer("new or wider dropped kerb wanted")
    porous_below = answer("every layer below lets water through to the soil")
    drains_on_plot = answer("its water is led to porous ground on the plot")
    # Empty: the whole of the survey lies at the front.
    front_m2 = models.DecimalField(max_digits=8, decimal_places=2, null=True, blank=True)

    class Meta:
        constraints = [
            one_of("nation", Nation, name="quotes_planning_nation"),
            *[one_of(name, Answer, name=f"quotes_planning_{name}") for name in PLANNING_QUESTIONS],
            more_than("front_m2", 0, name="quotes_planning_front"),
        ]

    def __str__(self) -> str:
        return f"planning question of survey {self.survey_id}"
