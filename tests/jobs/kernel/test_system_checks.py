"""The checks of ties between apps and of append-only triggers."""

from __future__ import annotations

import pytest
from django.core.checks import run_checks
from django.core.checks.registry import registry
from django.db import models
from django.test.utils import isolate_apps

from jobs.kernel.appendonly import install_triggers, remove_triggers, trigger_names
from jobs.kernel.system_checks import check_append_only_triggers, complaints_of


def ids(model: type[models.Model]) -> list[str]:
    return [f"{found.id} {found.obj.name}" for found in complaints_of(model)]


@isolate_apps("jobs", "stock")
def test_a_tie_to_a_lower_app_needs_no_reverse_name_and_protects() -> None:
    class Firm(models.Model):
        class Meta:
            app_label = "jobs"

    class Tied(models.Model):
        right = models.ForeignKey(Firm, models.PROTECT, related_name="+")
        reaches_back = models.ForeignKey(Firm, models.PROTECT, related_name="tied")
        unnamed = models.OneToOneField(Firm, models.PROTECT)
        cascades = models.ForeignKey(Firm, models.CASCADE, related_name="+")
        several = models.ManyToManyField(Firm, related_name="tied_by")

        class Meta:
            app_label = "stock"

    assert sorted(ids(Tied)) == [
        "resinwright.E001 reaches_back",
        "resinwright.E001 several",
        "resinwright.E001 unnamed",
        "resinwright.E002 cascades",
    ]


@isolate_apps("jobs", "stock")
def test_a_tie_inside_an_app_is_free() -> None:
    class Yard(models.Model):
        class Meta:
            app_label = "stock"

    class Bay(models.Model):
        yard = models.ForeignKey(Yard, models.CASCADE, related_name="bays")

        class Meta:
            app_label = "stock"

    assert ids(Bay) == []


def test_the_checks_are_registered_and_our_models_pass() -> None:
    assert check_append_only_triggers in registry.get_checks(include_deployment_checks=False)
    assert [
        found for found in run_checks(tags=["models"]) if (found.id or "").startswith("resinwright")
    ] == []


@pytest.mark.django_db(transaction=True)
def test_a_lost_trigger_is_reported_and_migrate_brings_it_back() -> None:
    install_triggers()
    assert check_append_only_triggers(databases=["default"]) == []

    remove_triggers()
    lost = check_append_only_triggers(databases=["default"])
    install_triggers()

    assert {found.id for found in lost} == {"resinwright.E003"}
    for name in trigger_names("jobs_event"):
        assert any(f"The trigger {name} is missing" in str(found.msg) for found in lost)
    assert check_append_only_triggers(databases=["default"]) == []
