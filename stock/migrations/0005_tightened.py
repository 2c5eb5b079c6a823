from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [
        ("stock", "0004_filled"),
    ]

    operations = [
        migrations.RemoveConstraint(
            model_name="channel",
            name="stock_channel_carriage",
        ),
        migrations.RemoveConstraint(
            model_name="channel",
            name="stock_channel_minimum",
        ),
        migrations.RemoveConstraint(
            model_name="channel",
            name="stock_channel_free_from",
        ),
        migrations.RemoveField(
            model_name="channel",
            name="carriage",
        ),
        migrations.RemoveField(
            model_name="channel",
            name="free_from",
        ),
        migrations.RemoveField(
            model_name="channel",
            name="minimum",
        ),
    ]
