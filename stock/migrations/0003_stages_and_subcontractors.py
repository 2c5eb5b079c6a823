import django.db.models.deletion
from django.db import migrations, models

import jobs.kernel.fields


class Migration(migrations.Migration):
    dependencies = [
        ("stock", "0002_quotes_and_yard"),
    ]

    operations = [
        migrations.CreateModel(
            name="ChannelCharge",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("valid_from", models.DateField()),
                ("carriage", jobs.kernel.fields.PenceField(default=0, verbose_name="carriage")),
                ("minimum", jobs.kernel.fields.PenceField(default=0, verbose_name="least order")),
                (
                    "free_from",
                    jobs.kernel.fields.PenceField(
                        blank=True, null=True, verbose_name="carriage free from"
                    ),
                ),
                (
                    "channel",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="charges",
                        to="stock.channel",
                    ),
                ),
            ],
            options={
                "ordering": ["channel_id", "-valid_from"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("carriage__gte", 0)),
                        name="stock_channelcharge_carriage",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("minimum__gte", 0)), name="stock_channelcharge_minimum"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("free_from__gte", 0)),
                        name="stock_channelcharge_free_from",
                    ),
                    models.UniqueConstraint(
                        fields=("channel", "valid_from"), name="stock_channelcharge_once"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="StoodIn",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("quantity", jobs.kernel.fields.BaseUnitField(default=0)),
                (
                    "lot",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="stood_in",
                        to="stock.lot",
                    ),
                ),
                (
                    "requirement",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="stood_in",
                        to="stock.requirement",
                    ),
                ),
            ],
            options={
                "ordering": ["requirement_id", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("quantity__gte", 0)), name="stock_stoodin_quantity"
                    ),
                    models.UniqueConstraint(
                        fields=("requirement", "lot"), name="stock_stoodin_once_a_lot"
                    ),
                ],
            },
        ),
    ]
