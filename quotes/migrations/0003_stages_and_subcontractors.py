from decimal import Decimal

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("jobs", "0003_stages_and_subcontractors"),
        ("jobs", "__first__"),
        ("quotes", "0002_quotes_and_yard"),
        ("stock", "0003_stages_and_subcontractors"),
    ]

    operations = [
        migrations.CreateModel(
            name="VariationWatch",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("paused_at", models.DateTimeField(blank=True, null=True)),
                ("resumed_at", models.DateTimeField(blank=True, null=True)),
                (
                    "paused_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "variation",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="watch",
                        to="quotes.variation",
                    ),
                ),
            ],
            options={
                "ordering": ["variation_id"],
            },
        ),
        migrations.CreateModel(
            name="WorkItemStock",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("quantity", models.PositiveIntegerField(verbose_name="base units of it a unit")),
                (
                    "item",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="stock.item",
                    ),
                ),
                (
                    "rate",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="stock",
                        to="quotes.workitemrate",
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("rate", "item"), name="quotes_workitemstock_once"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("quantity__gt", 0)),
                        name="quotes_workitemstock_quantity",
                    ),
                ],
            },
        ),
        migrations.AddField(
            model_name="acceptance",
            name="signed_on",
            field=models.DateField(null=True, verbose_name="signed on paper on"),
        ),
        migrations.AddField(
            model_name="changeline",
            name="workings",
            field=models.JSONField(default=list, help_text="[{what, how, amount}]"),
        ),
        migrations.AddField(
            model_name="rendering",
            name="pictures_error",
            field=models.CharField(blank=True, default="", max_length=300),
        ),
        migrations.AddField(
            model_name="rendering",
            name="pictures_tried_at",
            field=models.DateTimeField(null=True),
        ),
        migrations.AddField(
            model_name="rendering",
            name="pictures_tries",
            field=models.PositiveSmallIntegerField(default=0),
        ),
        migrations.AddField(
            model_name="revision",
            name="payment_plan",
            field=models.JSONField(blank=True, default=list),
        ),
        migrations.AddField(
            model_name="revision",
            name="purchase",
            field=models.JSONField(blank=True, default=dict),
        ),
        migrations.AddField(
            model_name="variation",
            name="booked_then",
            field=models.JSONField(
                blank=True, null=True, verbose_name="half-days booked at acceptance"
            ),
        ),
        migrations.AddField(
            model_name="variation",
            name="days_settled_at",
            field=models.DateTimeField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="variation",
            name="days_settled_by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="variation",
            name="days_settled_why",
            field=models.CharField(blank=True, default="", max_length=300),
        ),
        migrations.AddField(
            model_name="variationanswer",
            name="signed_on",
            field=models.DateField(null=True, verbose_name="signed on paper on"),
        ),
        migrations.AddField(
            model_name="workitemrate",
            name="machine",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="quotes.plant",
            ),
        ),
        migrations.AddField(
            model_name="workitemrate",
            name="machine_days",
            field=models.DecimalField(
                decimal_places=4,
                default=Decimal("0"),
                max_digits=8,
                verbose_name="days of it a unit",
            ),
        ),
        migrations.AlterField(
            model_name="revision",
            name="survey",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="jobs.survey",
            ),
        ),
        migrations.AddConstraint(
            model_name="variation",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("days_settled_at", None), ("days_settled_why", "")),
                    models.Q(
                        ("days_settled_at__isnull", False),
                        models.Q(("days_settled_why", ""), _negated=True),
                    ),
                    _connector="OR",
                ),
                name="quotes_variation_days_settled_says_why",
            ),
        ),
        migrations.AddConstraint(
            model_name="workitemrate",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("machine", None), ("machine_days", 0)),
                    models.Q(("machine__isnull", False), ("machine_days__gt", 0)),
                    _connector="OR",
                ),
                name="quotes_workitemrate_machine_with_days",
            ),
        ),
    ]
