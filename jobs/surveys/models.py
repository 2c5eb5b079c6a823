"""Surveys: the measured areas of a job and what the visit found. Measured areas live here only."""

from __future__ import annotations

import json
import uuid
import zlib
from decimal import Decimal
from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse

from jobs.kernel.fields import at_least, more_than, one_of
from jobs.sites.enums import Answer
from jobs.sites.models import answer
from jobs.surveys.enums import BaseKind, Condition, ShapeKind, SurveyKind, Use
from jobs.surveys.querysets import AreaQuerySet, SurveyQuerySet
from jobs.work.models import Job

QUESTIONS = (
    "damp_course", "airbricks_clear", "thresholds_clear", "covers", "drains", "movement_joints",
    "doors_clear", "trees", "services_searched", "old_tarmac", "coal_tar_tested", "front_garden",
)  # fmt: skip


def fingerprint(*values: Any) -> int:
    """Return a number that changes with the values: the version of a row that keeps none."""
    return zlib.crc32(json.dumps(values, default=str, sort_keys=True).encode()) or 1


class Survey(models.Model):
    """One visit with the tape, or the check-measure after preparation."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True)
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="surveys")
    kind = models.CharField(max_length=8, choices=SurveyKind.choices, default=SurveyKind.SURVEY)
    visited_at = models.DateTimeField()
    surveyor = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    base_kind = models.CharField(max_length=12, choices=BaseKind.choices)
    base_condition = models.CharField(
        max_length=10, choices=Condition.choices, default=Condition.UNKNOWN
    )
    base_texture_mm = models.DecimalField(
        "texture to fill (mm)", max_digits=4, decimal_places=1, default=Decimal(0)
    )
    fall = models.CharField("fall, as 1:80 or 1.25 %", max_length=20, blank=True)
    damp_course = answer("150 mm below the damp course")
    airbricks_clear = answer("airbricks stay clear")
    thresholds_clear = answer("thresholds stay clear")
    covers = answer("covers to recess")
    drains = answer("drains or channels")
    movement_joints = answer("movement joints to carry through")
    doors_clear = answer("doors and gates open over it")
    trees = answer("trees or roots near")
    services_searched = answer("buried services searched")
    old_tarmac = answer("old tarmac to be dug out")
    coal_tar_tested = answer("old tarmac tested for coal tar")
    front_garden = answer("front garden, between house and road")
    notes = models.TextField(blank=True, max_length=4000)
    finished_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    objects = SurveyQuerySet.as_manager()

    class Meta:
        ordering = ["-visited_at", "-pk"]
        constraints = [
            one_of("kind", SurveyKind, name="jobs_survey_kind"),
            one_of("base_kind", BaseKind, name="jobs_survey_base_kind"),
            one_of("base_condition", Condition, name="jobs_survey_base_condition"),
            at_least("base_texture_mm", 0, name="jobs_survey_texture"),
            *[one_of(name, Answer, name=f"jobs_survey_{name}") for name in QUESTIONS],
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} of {self.job.reference}"

    def get_absolute_url(self) -> str:
        return reverse("surveys:detail", args=[self.pk])

    @property
    def is_check(self) -> bool:
        return self.kind == SurveyKind.CHECK

    @property
    def state(self) -> str:
        """Whether it is finished, as a word."""
        return "finished" if self.finished_at else "open"


class ColourGroup(models.Model):
    """Areas that must look alike: one production run of stone serves all of them."""

    survey = models.ForeignKey(Survey, on_delete=models.CASCADE, related_name="colour_groups")
    name = models.CharField(max_length=40)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["survey", "name"], name="jobs_colourgroup_name")
        ]

    def __str__(self) -> str:
        return self.name


class Pour(models.Model):
    """Areas of one blend laid in one go; mixes are whole per pour until days are planned."""

    survey = models.ForeignKey(Survey, on_delete=models.CASCADE, related_name="pours")
    colour_group = models.ForeignKey(ColourGroup, on_delete=models.CASCADE, related_name="pours")
    name = models.CharField(max_length=40)

    class Meta:
        ordering = ["pk"]
        constraints = [models.UniqueConstraint(fields=["survey", "name"], name="jobs_pour_name")]

    def __str__(self) -> str:
        return self.name


class Area(models.Model):
    """A named surface of one depth and use; its size is worked out from its shapes."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True)
    survey = models.ForeignKey(Survey, on_delete=models.CASCADE, related_name="areas")
    pour = models.ForeignKey(Pour, on_delete=models.PROTECT, related_name="areas")
    position = models.PositiveSmallIntegerField(default=0)
    name = models.CharField(max_length=60)
    use = models.CharField(max_length=10, choices=Use.choices)
    depth_mm = models.DecimalField("depth (mm)", max_digits=4, decimal_places=1)
    outdoors = models.BooleanField(default=True)
    edging = models.BooleanField("edging to its open edge", default=True)

    objects = AreaQuerySet.as_manager()

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            one_of("use", Use, name="jobs_area_use"),
            more_than("depth_mm", 0, name="jobs_area_depth"),
            models.UniqueConstraint(fields=["survey", "name"], name="jobs_area_name"),
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("surveys:area", args=[self.pk])

    @property
    def pour_name(self) -> str:
        return self.pour.name

    @property
    def group_name(self) -> str:
        return self.pour.colour_group.name

    @property
    def version(self) -> int:
        """Changes with what the area's form may change, so that a second save is noticed."""
        return fingerprint(
            self.name, self.use, f"{self.depth_mm:.1f}", self.outdoors, self.edging,
            self.pour_name, self.group_name,
        )  # fmt: skip


class Shape(models.Model):
    """One taped figure of an area, as it was written down: text with units.

    `measurements` holds the engine's keys for this kind: {"length": "6.2 m", "width": "3.4 m"}.
    """

    area = models.ForeignKey(Area, on_delete=models.CASCADE, related_name="shapes")
    position = models.PositiveSmallIntegerField(default=0)
    kind = models.CharField(max_length=20, choices=ShapeKind.choices)
    measurements = models.JSONField(default=dict)
    deduct = models.BooleanField("take away", default=False)
    shared = models.CharField("length shared with earlier shapes", max_length=30, blank=True)
    note = models.CharField(max_length=60, blank=True)
    # Where to draw it on the plan, from the corner of the sheet; empty: beside the one before.
    at_x_m = models.DecimalField(max_digits=6, decimal_places=2, null=True, blank=True)
    at_y_m = models.DecimalField(max_digits=6, decimal_places=2, null=True, blank=True)

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            one_of("kind", ShapeKind, name="jobs_shape_kind"),
            models.CheckConstraint(
                condition=Q(at_x_m=None, at_y_m=None)
                | Q(at_x_m__isnull=False, at_y_m__isnull=False),
                name="jobs_shape_place_both_or_neither",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()}"

    def get_absolute_url(self) -> str:
        return self.area.get_absolute_url()

    @property
    def version(self) -> int:
        """Changes with what the shape's form may change, so that a second save is noticed."""
        return fingerprint(
            self.kind, self.measurements, self.deduct, self.shared, self.note,
            str(self.at_x_m), str(self.at_y_m),
        )  # fmt: skip
