"""PDFs to be drawn: a row that a worker claims, so that no page waits for a renderer."""

from __future__ import annotations

import uuid

from django.db import models

from jobs.kernel.fields import more_than, one_of
from quotes.documents.enums import RenderState


class Rendering(models.Model):
    """One PDF asked for: of a draft to look at, or of a sent revision to keep."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True)
    revision = models.ForeignKey(
        "quotes.Revision", on_delete=models.CASCADE, related_name="renderings"
    )
    inputs_digest = models.CharField(max_length=64)
    state = models.CharField(max_length=9, choices=RenderState.choices, default=RenderState.DUE)
    asked_at = models.DateTimeField()
    claimed_at = models.DateTimeField(null=True)
    finished_at = models.DateTimeField(null=True)
    attachment_uid = models.UUIDField(null=True)
    pages = models.PositiveSmallIntegerField(default=0)
    error = models.CharField(max_length=300, blank=True)
    # The pages as pictures are drawn after the PDF, by themselves a few times, then on request.
    pictures_tries = models.PositiveSmallIntegerField(default=0)
    pictures_tried_at = models.DateTimeField(null=True)
    pictures_error = models.CharField(max_length=300, blank=True, default="")

    class Meta:
        ordering = ["-asked_at"]
        constraints = [
            one_of("state", RenderState, name="quotes_rendering_state"),
            models.UniqueConstraint(
                fields=["revision", "inputs_digest"], name="quotes_rendering_once"
            ),
        ]

    def __str__(self) -> str:
        return f"PDF of {self.revision}"


class PagePicture(models.Model):
    """One page of a drawn PDF as a picture, to be looked at without a PDF reader."""

    rendering = models.ForeignKey(Rendering, on_delete=models.CASCADE, related_name="pictures")
    number = models.PositiveSmallIntegerField()
    attachment_uid = models.UUIDField()
    width = models.PositiveSmallIntegerField("width in points of the picture")
    height = models.PositiveSmallIntegerField("height in points of the picture")

    class Meta:
        ordering = ["rendering_id", "number"]
        constraints = [
            models.UniqueConstraint(fields=["rendering", "number"], name="quotes_pagepicture_once"),
            more_than("number", 0, name="quotes_pagepicture_number"),
        ]

    def __str__(self) -> str:
        return f"page {self.number} of {self.rendering}"
