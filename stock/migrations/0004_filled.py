from collections import defaultdict
from datetime import date
from typing import Any

from django.db import migrations

FIRST_DAY = date(2000, 1, 1)


def fill_stand_ins(apps: Any, _: Any) -> None:
    """Record what stood in for what, of books in which stand-ins had gone before it was recorded.

    Until now it followed from the catalogue: what a job drew of a stand-in beyond what was asked of
    that item itself went to the requirements that it may stand in for, the first asked first.
    """
    movement, requirement, substitute, stood_in = (
        apps.get_model("stock", name)
        for name in ("Movement", "Requirement", "Substitute", "StoodIn")
    )
    stand_ins = substitute.objects.values("stand_in_id")
    drawn: dict[tuple[int, int], dict[int, int]] = defaultdict(lambda: defaultdict(int))
    rows = movement.objects.filter(
        posting__kind__in=["issue", "return"], lot__item_id__in=stand_ins
    ).values_list("posting__job_id", "lot__item_id", "lot_id", "posting__kind", "quantity")
    for job, item, lot, kind, units in rows:
        drawn[job, item][lot] += units if kind == "issue" else -units
    for (job, item), lots in sorted(drawn.items()):
        asked = requirement.objects.filter(job_id=job, item_id=item)
        beyond = sum(lots.values()) - sum(row.issued for row in asked)
        served = requirement.objects.filter(
            job_id=job, item__substitutes__stand_in_id=item, issued__gt=0
        ).order_by("pk")
        room = {
            row.pk: row.issued - sum(one.quantity for one in row.stood_in.all()) for row in served
        }
        for lot, units in sorted(lots.items()):
            for pk in room:
                part = min(units, beyond, room[pk])
                if part > 0:
                    stood_in.objects.create(requirement_id=pk, lot_id=lot, quantity=part)
                    units, beyond, room[pk] = units - part, beyond - part, room[pk] - part


def charges_of_channels(apps: Any, schema_editor: Any) -> None:
    """Each channel's figures become its charges from the first day on."""
    using = schema_editor.connection.alias
    charge, channel = apps.get_model("stock", "ChannelCharge"), apps.get_model("stock", "Channel")
    charge.objects.using(using).bulk_create(
        charge(
            channel_id=row.pk,
            valid_from=FIRST_DAY,
            carriage=row.carriage,
            minimum=row.minimum,
            free_from=row.free_from,
        )  # fmt: skip
        for row in channel.objects.using(using).order_by("pk")
    )


def channels_of_charges(apps: Any, schema_editor: Any) -> None:
    """Put the latest charges back on their channels."""
    using = schema_editor.connection.alias
    channels = apps.get_model("stock", "Channel").objects.using(using)
    for row in apps.get_model("stock", "ChannelCharge").objects.using(using).order_by("valid_from"):
        channels.filter(pk=row.channel_id).update(
            carriage=row.carriage, minimum=row.minimum, free_from=row.free_from
        )


class Migration(migrations.Migration):
    dependencies = [
        ("stock", "0003_stages_and_subcontractors"),
    ]

    operations = [
        migrations.RunPython(fill_stand_ins, migrations.RunPython.noop),
        migrations.RunPython(charges_of_channels, channels_of_charges),
    ]
