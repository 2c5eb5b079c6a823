import django.db.models.deletion
import django.db.models.expressions
from django.conf import settings
from django.db import migrations, models

import jobs.kernel.fields


class Migration(migrations.Migration):
    dependencies = [
        ("jobs", "0002_quotes_and_yard"),
    ]

    operations = [
        migrations.CreateModel(
            name="SubcontractBill",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("number", models.CharField(max_length=40, verbose_name="number of the bill")),
                ("number_key", models.CharField(max_length=40)),
                ("attempt", models.PositiveSmallIntegerField(default=1)),
                ("billed_on", models.DateField(verbose_name="date of the bill")),
                ("words", models.CharField(max_length=200)),
                ("labour", jobs.kernel.fields.PenceField()),
                ("materials", jobs.kernel.fields.PenceField(default=0)),
                ("materials_estimated", models.BooleanField(default=False)),
                ("consumables", jobs.kernel.fields.PenceField(default=0)),
                ("fuel", jobs.kernel.fields.PenceField(default=0)),
                ("plant_hire", jobs.kernel.fields.PenceField(default=0)),
                ("prefabrication", jobs.kernel.fields.PenceField(default=0)),
                ("net", jobs.kernel.fields.PenceField()),
                (
                    "vat_rate",
                    models.DecimalField(
                        decimal_places=2, max_digits=5, verbose_name="VAT rate in per cent"
                    ),
                ),
                ("vat", jobs.kernel.fields.PenceField(default=0, verbose_name="VAT")),
                ("reverse_charge", models.BooleanField(default=False)),
                (
                    "reverse_vat",
                    jobs.kernel.fields.PenceField(default=0, verbose_name="VAT by reverse charge"),
                ),
                ("vat_reason", models.CharField(blank=True, max_length=200)),
                ("evidence", models.UUIDField(blank=True, null=True)),
                ("hours_apart", models.BooleanField(default=False)),
                ("key", models.UUIDField(unique=True)),
                ("at", models.DateTimeField()),
                (
                    "by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "job",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="subcontract_bills",
                        to="jobs.job",
                    ),
                ),
            ],
            options={
                "ordering": ["-billed_on", "-pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "net",
                                django.db.models.expressions.CombinedExpression(
                                    django.db.models.expressions.CombinedExpression(
                                        django.db.models.expressions.CombinedExpression(
                                            django.db.models.expressions.CombinedExpression(
                                                django.db.models.expressions.CombinedExpression(
                                                    models.F("labour"), "+", models.F("materials")
                                                ),
                                                "+",
                                                models.F("consumables"),
                                            ),
                                            "+",
                                            models.F("fuel"),
                                        ),
                                        "+",
                                        models.F("plant_hire"),
                                    ),
                                    "+",
                                    models.F("prefabrication"),
                                ),
                            )
                        ),
                        name="jobs_subcontractbill_adds_up",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("reverse_charge", True), ("vat", 0)),
                            models.Q(("reverse_charge", False), ("reverse_vat", 0)),
                            _connector="OR",
                        ),
                        name="jobs_subcontractbill_reverse_charge",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("vat_rate__gte", 0)),
                        name="jobs_subcontractbill_vat_rate",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Subcontractor",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=120, unique=True)),
                ("address", models.CharField(blank=True, max_length=400)),
                ("email", models.EmailField(blank=True, max_length=254)),
                ("phone", models.CharField(blank=True, max_length=30)),
                (
                    "utr",
                    models.CharField(
                        blank=True, max_length=10, verbose_name="unique taxpayer reference"
                    ),
                ),
                (
                    "vat_number",
                    models.CharField(blank=True, max_length=20, verbose_name="VAT number"),
                ),
                ("note", models.CharField(blank=True, max_length=300)),
                ("made_at", models.DateTimeField()),
                ("archived_at", models.DateTimeField(blank=True, null=True)),
                ("version", models.PositiveIntegerField(default=1)),
                (
                    "person",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="subcontractor",
                        to="jobs.person",
                    ),
                ),
            ],
            options={
                "ordering": ["name"],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("utr", ""), _negated=True),
                        fields=("utr",),
                        name="jobs_subcontractor_utr",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="SubcontractPayment",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("attempt", models.PositiveSmallIntegerField(default=1)),
                ("paid_on", models.DateField()),
                ("month_end", models.DateField()),
                (
                    "paid_by",
                    models.CharField(
                        choices=[
                            ("transfer", "bank transfer"),
                            ("card", "card"),
                            ("cheque", "cheque"),
                            ("cash", "cash"),
                        ],
                        default="transfer",
                        max_length=8,
                    ),
                ),
                (
                    "percent",
                    models.DecimalField(
                        decimal_places=2, max_digits=5, verbose_name="rate in per cent"
                    ),
                ),
                ("why", models.CharField(max_length=200)),
                ("gross", jobs.kernel.fields.PenceField()),
                ("vat", jobs.kernel.fields.PenceField(verbose_name="VAT")),
                ("excluded", jobs.kernel.fields.PenceField(verbose_name="materials and the like")),
                ("taxed", jobs.kernel.fields.PenceField()),
                ("deduction", jobs.kernel.fields.PenceField()),
                ("paid", jobs.kernel.fields.PenceField()),
                ("note", models.CharField(blank=True, max_length=200)),
                ("key", models.UUIDField(unique=True)),
                ("at", models.DateTimeField()),
                (
                    "bill",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="payments",
                        to="jobs.subcontractbill",
                    ),
                ),
                (
                    "by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["-paid_on", "-pk"],
                "indexes": [models.Index(fields=["month_end"], name="jobs_subpayment_month")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("paid_by__in", ["transfer", "card", "cheque", "cash"])),
                        name="jobs_subcontractpayment_paid_by",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("percent__in", (0, 20, 30))),
                        name="jobs_subcontractpayment_rate",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "paid",
                                django.db.models.expressions.CombinedExpression(
                                    models.F("gross"), "-", models.F("deduction")
                                ),
                            )
                        ),
                        name="jobs_subcontractpayment_paid",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "taxed",
                                django.db.models.expressions.CombinedExpression(
                                    django.db.models.expressions.CombinedExpression(
                                        models.F("gross"), "-", models.F("vat")
                                    ),
                                    "-",
                                    models.F("excluded"),
                                ),
                            )
                        ),
                        name="jobs_subcontractpayment_taxed",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("attempt__gt", 0)),
                        name="jobs_subcontractpayment_attempt",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Verification",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "percent",
                    models.DecimalField(
                        decimal_places=2, max_digits=5, verbose_name="rate in per cent"
                    ),
                ),
                ("reference", models.CharField(max_length=14, verbose_name="verification number")),
                ("verified_on", models.DateField()),
                (
                    "how",
                    models.CharField(
                        choices=[
                            ("online", "online"),
                            ("phone", "by telephone"),
                            ("software", "by payroll software"),
                        ],
                        max_length=8,
                    ),
                ),
                ("evidence", models.UUIDField(blank=True, null=True)),
                ("note", models.CharField(blank=True, max_length=200)),
                ("key", models.UUIDField(unique=True)),
                ("at", models.DateTimeField()),
                (
                    "by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "subcontractor",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="verifications",
                        to="jobs.subcontractor",
                    ),
                ),
            ],
            options={
                "ordering": ["-verified_on", "-pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("how__in", ["online", "phone", "software"])),
                        name="jobs_verification_how",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("percent__in", (0, 20, 30))),
                        name="jobs_verification_rate",
                    ),
                ],
            },
        ),
        migrations.RemoveConstraint(
            model_name="paymentrequest",
            name="jobs_paymentrequest_kind",
        ),
        migrations.RemoveConstraint(
            model_name="planstage",
            name="jobs_planstage_kind",
        ),
        migrations.AddField(
            model_name="invoice",
            name="outside_plan",
            field=models.BooleanField(default=False),
        ),
        migrations.AddField(
            model_name="invoice",
            name="reverse_reason",
            field=models.CharField(blank=True, max_length=300),
        ),
        migrations.AddField(
            model_name="invoice",
            name="vat_document",
            field=models.UUIDField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="invoice",
            name="vat_reason",
            field=models.CharField(blank=True, max_length=200),
        ),
        migrations.AlterField(
            model_name="paymentrequest",
            name="kind",
            field=models.CharField(
                choices=[
                    ("deposit", "deposit"),
                    ("stage", "stage payment"),
                    ("final", "final payment"),
                    ("extra", "invoice outside the plan"),
                ],
                max_length=8,
            ),
        ),
        migrations.AlterField(
            model_name="planstage",
            name="kind",
            field=models.CharField(
                choices=[
                    ("deposit", "deposit"),
                    ("stage", "stage payment"),
                    ("final", "final payment"),
                    ("extra", "invoice outside the plan"),
                ],
                max_length=8,
            ),
        ),
        migrations.AddConstraint(
            model_name="paymentrequest",
            constraint=models.CheckConstraint(
                condition=models.Q(("kind__in", ["deposit", "stage", "final", "extra"])),
                name="jobs_paymentrequest_kind",
            ),
        ),
        migrations.AddConstraint(
            model_name="planstage",
            constraint=models.CheckConstraint(
                condition=models.Q(("kind__in", ["deposit", "stage", "final", "extra"])),
                name="jobs_planstage_kind",
            ),
        ),
        migrations.AddField(
            model_name="subcontractbill",
            name="reverses",
            field=models.OneToOneField(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="reversed_by",
                to="jobs.subcontractbill",
            ),
        ),
        migrations.AddField(
            model_name="subcontractbill",
            name="subcontractor",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="bills",
                to="jobs.subcontractor",
            ),
        ),
        migrations.AddField(
            model_name="subcontractpayment",
            name="reverses",
            field=models.OneToOneField(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="reversed_by",
                to="jobs.subcontractpayment",
            ),
        ),
        migrations.AddField(
            model_name="subcontractpayment",
            name="verification",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="payments",
                to="jobs.verification",
            ),
        ),
        migrations.AddConstraint(
            model_name="subcontractbill",
            constraint=models.UniqueConstraint(
                condition=models.Q(("reverses", None)),
                fields=("subcontractor", "number_key", "attempt"),
                name="jobs_subcontractbill_once",
            ),
        ),
        migrations.AddConstraint(
            model_name="subcontractbill",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("net__gt", 0), ("reverses", None)),
                    models.Q(("net__lt", 0), ("reverses__isnull", False)),
                    _connector="OR",
                ),
                name="jobs_subcontractbill_sign",
            ),
        ),
        migrations.AddConstraint(
            model_name="subcontractpayment",
            constraint=models.UniqueConstraint(
                condition=models.Q(("reverses", None)),
                fields=("bill", "attempt"),
                name="jobs_subcontractpayment_once",
            ),
        ),
    ]
