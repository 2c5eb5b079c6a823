from typing import Any

from django.db import migrations


def items_of_rates(apps: Any, schema_editor: Any) -> None:
    """The one item that a rate could take from the yard becomes the first of several."""
    using = schema_editor.connection.alias
    taken, rate = (
        apps.get_model("quotes", "WorkItemStock"),
        apps.get_model("quotes", "WorkItemRate"),
    )
    taken.objects.using(using).bulk_create(
        taken(rate_id=row.pk, item_id=row.stock_item_id, quantity=row.stock_per_unit)
        for row in rate.objects.using(using).exclude(stock_item=None).order_by("pk")
    )


def rates_of_items(apps: Any, schema_editor: Any) -> None:
    """Put the first item back on its rate; refuses books in which a rate takes several."""
    using = schema_editor.connection.alias
    rates = apps.get_model("quotes", "WorkItemRate").objects.using(using)
    rows = list(apps.get_model("quotes", "WorkItemStock").objects.using(using).order_by("pk"))
    if len({row.rate_id for row in rows}) < len(rows):
        raise ValueError("A work item takes several items: an older release cannot keep that.")
    for row in rows:
        rates.filter(pk=row.rate_id).update(stock_item=row.item_id, stock_per_unit=row.quantity)


class Migration(migrations.Migration):
    dependencies = [
        ("quotes", "0003_stages_and_subcontractors"),
    ]

    operations = [
        migrations.RunPython(items_of_rates, rates_of_items),
    ]
