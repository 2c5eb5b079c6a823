from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [
        ("quotes", "0004_filled"),
    ]

    operations = [
        migrations.RemoveConstraint(
            model_name="workitemrate",
            name="quotes_workitemrate_stock_with_quantity",
        ),
        migrations.RemoveField(
            model_name="workitemrate",
            name="stock_item",
        ),
        migrations.RemoveField(
            model_name="workitemrate",
            name="stock_per_unit",
        ),
    ]
