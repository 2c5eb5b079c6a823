import django.db.models.deletion
import django.db.models.expressions
import jobs.kernel.fields
import uuid
from decimal import Decimal
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("jobs", "0001_initial"),
    ]

    operations = [
        migrations.CreateModel(
            name="CustomerMessage",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("dates", "your dates"),
                            ("changed", "changed dates"),
                            ("car", "move the car"),
                            ("rain", "moved for rain"),
                            ("keep_off", "keep off"),
                            ("free", "free words"),
                        ],
                        max_length=8,
                    ),
                ),
                ("needed", models.BooleanField(default=False)),
                (
                    "details",
                    models.JSONField(default=dict, help_text="what the words were filled with"),
                ),
                ("told", models.JSONField(default=dict)),
                ("written_at", models.DateTimeField()),
                (
                    "job",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="customer_messages",
                        to="jobs.job",
                    ),
                ),
                (
                    "message",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="customer_message",
                        to="jobs.message",
                    ),
                ),
                (
                    "written_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["-written_at", "-pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("kind__in", ["dates", "changed", "car", "rain", "keep_off", "free"])
                        ),
                        name="jobs_customermessage_kind",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Invoice",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("number", models.CharField(max_length=20, unique=True)),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("invoice", "VAT invoice"),
                            ("simplified", "simplified VAT invoice"),
                            ("credit", "credit note"),
                        ],
                        max_length=10,
                    ),
                ),
                ("supply_on", models.DateField(verbose_name="time of supply")),
                ("issued_on", models.DateField()),
                ("due_on", models.DateField(null=True)),
                ("supplier_name", models.CharField(max_length=120)),
                ("supplier_address", models.CharField(max_length=400)),
                ("supplier_vat_number", models.CharField(max_length=20)),
                ("supplier_utr", models.CharField(blank=True, max_length=20)),
                ("customer_name", models.CharField(max_length=120)),
                ("customer_address", models.TextField(blank=True, max_length=420)),
                ("customer_vat_number", models.CharField(blank=True, max_length=20)),
                ("consumer", models.BooleanField(default=False)),
                ("job_words", models.CharField(max_length=160)),
                ("order_number", models.CharField(blank=True, max_length=40)),
                ("reverse_charge", models.BooleanField(default=False)),
                ("net", jobs.kernel.fields.PenceField()),
                ("vat", jobs.kernel.fields.PenceField(verbose_name="VAT")),
                ("gross", jobs.kernel.fields.PenceField()),
                (
                    "reverse_vat",
                    jobs.kernel.fields.PenceField(default=0, verbose_name="VAT by reverse charge"),
                ),
                ("cis_percent", models.DecimalField(decimal_places=2, max_digits=5, null=True)),
                ("cis_materials", jobs.kernel.fields.PenceField(default=0)),
                ("cis_deduction", jobs.kernel.fields.PenceField(default=0)),
                ("note", models.CharField(blank=True, max_length=300)),
                ("key", models.UUIDField(unique=True)),
                ("issued_at", models.DateTimeField()),
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
                        related_name="invoices",
                        to="jobs.job",
                    ),
                ),
                (
                    "receipt",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="invoices",
                        to="jobs.receipt",
                    ),
                ),
                (
                    "request",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="invoices",
                        to="jobs.paymentrequest",
                    ),
                ),
            ],
            options={
                "ordering": ["issued_at", "pk"],
                "indexes": [models.Index(fields=["-issued_at"], name="jobs_invoice_latest")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("kind__in", ["invoice", "simplified", "credit"])),
                        name="jobs_invoice_kind",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "gross",
                                django.db.models.expressions.CombinedExpression(
                                    models.F("net"), "+", models.F("vat")
                                ),
                            )
                        ),
                        name="jobs_invoice_adds_up",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("reverse_charge", True), ("vat", 0)),
                            models.Q(("reverse_charge", False), ("reverse_vat", 0)),
                            _connector="OR",
                        ),
                        name="jobs_invoice_reverse_charge",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("kind", "simplified"), _negated=True),
                            models.Q(("gross__lte", Decimal("250.00")), ("reverse_charge", False)),
                            _connector="OR",
                        ),
                        name="jobs_invoice_simplified_most",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("cis_deduction", 0), ("cis_percent", None)),
                            models.Q(("cis_deduction__gte", 0), ("cis_percent__isnull", False)),
                            _connector="OR",
                        ),
                        name="jobs_invoice_cis",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="InvoicePaper",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, unique=True)),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("due", "to be drawn"),
                            ("rendering", "being drawn"),
                            ("ready", "ready"),
                            ("failed", "could not be drawn"),
                        ],
                        default="due",
                        max_length=9,
                    ),
                ),
                ("asked_at", models.DateTimeField()),
                ("claimed_at", models.DateTimeField(null=True)),
                ("finished_at", models.DateTimeField(null=True)),
                ("attachment_uid", models.UUIDField(null=True)),
                ("digest", models.CharField(blank=True, max_length=64)),
                ("pages", models.PositiveSmallIntegerField(default=0)),
                ("error", models.CharField(blank=True, max_length=300)),
                (
                    "invoice",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="paper",
                        to="jobs.invoice",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("state__in", ["due", "rendering", "ready", "failed"])),
                        name="jobs_invoicepaper_state",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("state", "ready"), _negated=True),
                            models.Q(
                                ("attachment_uid__isnull", False),
                                models.Q(("digest", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="jobs_invoicepaper_ready",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="IssuedLine",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("position", models.PositiveSmallIntegerField()),
                ("words", models.CharField(max_length=300)),
                ("quantity", models.DecimalField(decimal_places=3, max_digits=12)),
                ("unit", models.CharField(max_length=20)),
                ("unit_price", models.DecimalField(decimal_places=4, max_digits=14)),
                ("net", jobs.kernel.fields.PenceField()),
                (
                    "rate",
                    models.DecimalField(
                        decimal_places=2, max_digits=5, verbose_name="rate in per cent"
                    ),
                ),
                (
                    "invoice",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="lines",
                        to="jobs.invoice",
                    ),
                ),
            ],
            options={
                "ordering": ["invoice_id", "position"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("invoice", "position"), name="jobs_issuedline_once"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="IssuedRate",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "rate",
                    models.DecimalField(
                        decimal_places=2, max_digits=5, verbose_name="rate in per cent"
                    ),
                ),
                ("net", jobs.kernel.fields.PenceField()),
                ("vat", jobs.kernel.fields.PenceField(verbose_name="VAT")),
                ("gross", jobs.kernel.fields.PenceField()),
                (
                    "invoice",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="rates",
                        to="jobs.invoice",
                    ),
                ),
            ],
            options={
                "ordering": ["invoice_id", "-rate"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("invoice", "rate"), name="jobs_issuedrate_once"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "gross",
                                django.db.models.expressions.CombinedExpression(
                                    models.F("net"), "+", models.F("vat")
                                ),
                            )
                        ),
                        name="jobs_issuedrate_adds_up",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="PlanChange",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("words", models.CharField(max_length=200)),
                (
                    "rate",
                    models.DecimalField(
                        decimal_places=2, max_digits=5, verbose_name="rate in per cent"
                    ),
                ),
                ("net", jobs.kernel.fields.PenceField()),
                ("vat", jobs.kernel.fields.PenceField(verbose_name="VAT")),
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
            ],
            options={
                "ordering": ["at", "pk"],
            },
        ),
        migrations.CreateModel(
            name="PlanShare",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "rate",
                    models.DecimalField(
                        decimal_places=2, max_digits=5, verbose_name="rate in per cent"
                    ),
                ),
                ("net", jobs.kernel.fields.PenceField()),
                ("vat", jobs.kernel.fields.PenceField(verbose_name="VAT")),
            ],
            options={
                "ordering": ["stage_id", "-rate"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("rate__gte", 0)), name="jobs_planshare_rate"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="PlanStage",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("position", models.PositiveSmallIntegerField()),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("deposit", "deposit"),
                            ("stage", "stage payment"),
                            ("final", "final payment"),
                        ],
                        max_length=8,
                    ),
                ),
                ("words", models.CharField(max_length=200)),
                ("percent", models.DecimalField(decimal_places=4, max_digits=7, null=True)),
                (
                    "request",
                    models.OneToOneField(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="stage",
                        to="jobs.paymentrequest",
                    ),
                ),
            ],
            options={
                "ordering": ["plan_id", "position"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("kind__in", ["deposit", "stage", "final"])),
                        name="jobs_planstage_kind",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="StagePlan",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("reverse_charge", models.BooleanField(default=False)),
                ("vat_reason", models.CharField(blank=True, max_length=200)),
                ("vat_document", models.UUIDField(blank=True, null=True)),
                ("made_at", models.DateTimeField()),
                ("version", models.PositiveIntegerField(default=1)),
                (
                    "job",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="stage_plan",
                        to="jobs.job",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Wording",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("dates", "your dates"),
                            ("changed", "changed dates"),
                            ("car", "move the car"),
                            ("rain", "moved for rain"),
                            ("keep_off", "keep off"),
                            ("free", "free words"),
                        ],
                        max_length=8,
                    ),
                ),
                (
                    "channel",
                    models.CharField(
                        choices=[("mail", "e-mail"), ("text", "text message")], max_length=4
                    ),
                ),
                ("valid_from", models.DateField()),
                ("subject", models.CharField(blank=True, max_length=200)),
                ("body", models.TextField(max_length=4000)),
                ("written_at", models.DateTimeField()),
                (
                    "written_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["kind", "channel", "-valid_from"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("kind__in", ["dates", "changed", "car", "rain", "keep_off", "free"])
                        ),
                        name="jobs_wording_kind",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("channel__in", ["mail", "text"])),
                        name="jobs_wording_channel",
                    ),
                    models.UniqueConstraint(
                        fields=("kind", "channel", "valid_from"), name="jobs_wording_from"
                    ),
                ],
            },
        ),
        migrations.AddField(
            model_name="customer",
            name="only_needed",
            field=models.BooleanField(
                default=False, verbose_name="no messages but what the work needs"
            ),
        ),
        migrations.AddField(
            model_name="customer",
            name="texts_agreed",
            field=models.BooleanField(default=False, verbose_name="said yes to text messages"),
        ),
        migrations.AddField(
            model_name="message",
            name="channel",
            field=models.CharField(
                choices=[("mail", "e-mail"), ("text", "text message")], default="mail", max_length=4
            ),
        ),
        migrations.AddField(
            model_name="message",
            name="reference",
            field=models.CharField(blank=True, default="", max_length=120),
        ),
        migrations.AddField(
            model_name="receipt",
            name="cis_deducted",
            field=jobs.kernel.fields.PenceField(default=0, verbose_name="kept back under CIS"),
        ),
        migrations.AlterField(
            model_name="message",
            name="state",
            field=models.CharField(
                choices=[
                    ("due", "waiting"),
                    ("sending", "being sent"),
                    ("sent", "sent"),
                    ("failed", "not sent"),
                    ("dropped", "kept back"),
                ],
                default="due",
                max_length=10,
            ),
        ),
        migrations.AlterField(
            model_name="message",
            name="to",
            field=models.CharField(max_length=254),
        ),
        migrations.AddConstraint(
            model_name="message",
            constraint=models.CheckConstraint(
                condition=models.Q(("channel__in", ["mail", "text"])), name="jobs_message_channel"
            ),
        ),
        migrations.AddField(
            model_name="invoice",
            name="credits",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="credit_notes",
                to="jobs.invoice",
            ),
        ),
        migrations.AddField(
            model_name="planshare",
            name="stage",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE,
                related_name="shares",
                to="jobs.planstage",
            ),
        ),
        migrations.AddField(
            model_name="planstage",
            name="plan",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE,
                related_name="stages",
                to="jobs.stageplan",
            ),
        ),
        migrations.AddField(
            model_name="planchange",
            name="plan",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="changes",
                to="jobs.stageplan",
            ),
        ),
        migrations.AddConstraint(
            model_name="invoice",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("credits__isnull", False), ("gross__lt", 0), ("kind", "credit")),
                    models.Q(
                        models.Q(("kind", "credit"), _negated=True),
                        ("credits", None),
                        ("gross__gt", 0),
                    ),
                    _connector="OR",
                ),
                name="jobs_invoice_credit_names_invoice",
            ),
        ),
        migrations.AddConstraint(
            model_name="planshare",
            constraint=models.UniqueConstraint(
                fields=("stage", "rate"), name="jobs_planshare_once"
            ),
        ),
        migrations.AddConstraint(
            model_name="planstage",
            constraint=models.UniqueConstraint(
                fields=("plan", "position"), name="jobs_planstage_position"
            ),
        ),
    ]
