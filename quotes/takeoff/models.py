"""Which blend a survey's colour groups get; the take-off itself is worked out afresh each time."""

from __future__ import annotations

from decimal import Decimal

from django.db import models

from jobs.kernel.fields import at_least


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
