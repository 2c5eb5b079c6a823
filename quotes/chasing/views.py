"""Stopping and resuming the reminders of a quote or variation; pricing a quote again."""

from __future__ import annotations

from typing import Any

from django.shortcuts import get_object_or_404

from jobs.kernel.views import ServiceActionView
from quotes.chasing import services
from quotes.quoting.models import Revision
from quotes.variations.models import Variation

WRITE = "jobs.write_quote"


class OfSent(ServiceActionView):
    """A button on the page of a sent revision."""

    permission = WRITE

    def find(self) -> Revision:
        found: Revision = get_object_or_404(Revision.objects.with_job(), pk=self.kwargs["pk"])
        return found

    @property
    def call(self) -> dict[str, Any]:
        """What every service here takes."""
        return {"revision_id": self.found.pk, "by": self.request.user, "at": self.request.now}


class Pause(OfSent):
    """Stop the reminders of one quote."""

    success_message = "The customer is not reminded of this quote any more."

    def act(self) -> Revision:
        return services.pause_chasing(**self.call)


class Resume(OfSent):
    """Let them go on."""

    success_message = "The customer is reminded of this quote again."

    def act(self) -> Revision:
        return services.resume_chasing(**self.call)


class OfVariation(ServiceActionView):
    """A button on the page of a sent variation."""

    permission = WRITE

    def find(self) -> Variation:
        return get_object_or_404(Variation, pk=self.kwargs["pk"])

    @property
    def call(self) -> dict[str, Any]:
        """What every service here takes."""
        return {"variation_id": self.found.pk, "by": self.request.user, "at": self.request.now}


class PauseVariation(OfVariation):
    """Stop the reminders of one variation."""

    success_message = "The customer is not reminded of this variation any more."

    def act(self) -> Variation:
        return services.pause_variation(**self.call)


class ResumeVariation(OfVariation):
    """Let them go on."""

    success_message = "The customer is reminded of this variation again."

    def act(self) -> Variation:
        return services.resume_variation(**self.call)


class Renew(OfSent):
    """The next revision at today's prices, in one press."""

    success_message = "Revision {made.number} is in draft at today's prices; look it over, send it."

    def act(self) -> Revision:
        return services.renew_quote(**self.call)

    def get_success_url(self) -> str:
        return str((self.made or self.found).get_absolute_url())
