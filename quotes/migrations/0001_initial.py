import django.db.models.deletion
import django.db.models.expressions
import jobs.kernel.fields
import uuid
from decimal import Decimal
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("jobs", "0001_initial"),
        ("jobs", "__first__"),
        ("stock", "0001_initial"),
    ]

    operations = [
        migrations.CreateModel(
            name="BlendChoice",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "blend",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="stock.blend",
                    ),
                ),
                (
                    "colour_group",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="jobs.colourgroup",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="FirmRates",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("valid_from", models.DateField(unique=True)),
                (
                    "labour_hourly",
                    models.DecimalField(
                        decimal_places=4, max_digits=10, verbose_name="labour (£ an hour)"
                    ),
                ),
                (
                    "overhead_percent",
                    models.DecimalField(
                        decimal_places=2, max_digits=5, verbose_name="overhead (% of direct cost)"
                    ),
                ),
                (
                    "margin_percent",
                    models.DecimalField(
                        decimal_places=2,
                        max_digits=5,
                        verbose_name="margin (% of the price before VAT)",
                    ),
                ),
                (
                    "vat_percent",
                    models.DecimalField(
                        decimal_places=2,
                        default=Decimal("20"),
                        max_digits=5,
                        verbose_name="VAT (%)",
                    ),
                ),
                (
                    "waste_percent",
                    models.DecimalField(
                        decimal_places=2,
                        default=Decimal("5"),
                        max_digits=5,
                        verbose_name="waste (%)",
                    ),
                ),
                (
                    "deposit_percent",
                    models.DecimalField(decimal_places=2, default=Decimal("25"), max_digits=5),
                ),
                ("minimum_charge", jobs.kernel.fields.PenceField(default=0)),
                (
                    "validity_days",
                    models.PositiveSmallIntegerField(default=30, verbose_name="quotes hold (days)"),
                ),
            ],
            options={
                "ordering": ["-valid_from"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("margin_percent__gte", 0), ("margin_percent__lt", 100)),
                        name="quotes_firmrates_margin_below_100",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("overhead_percent__gte", Decimal("0"))),
                        name="quotes_firmrates_overhead",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("labour_hourly__gte", Decimal("0"))),
                        name="quotes_firmrates_labour",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("deposit_percent__gte", 0), ("deposit_percent__lte", 100)
                        ),
                        name="quotes_firmrates_deposit",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Quote",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("reference", models.CharField(blank=True, max_length=20, null=True, unique=True)),
                ("created_at", models.DateTimeField()),
                (
                    "job",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="jobs.job"
                    ),
                ),
            ],
            options={
                "ordering": ["-created_at", "-pk"],
            },
        ),
        migrations.CreateModel(
            name="Revision",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, unique=True)),
                ("number", models.PositiveSmallIntegerField(default=1)),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("draft", "draft"),
                            ("sent", "sent"),
                            ("accepted", "accepted"),
                            ("declined", "declined"),
                            ("replaced", "replaced by a newer one"),
                        ],
                        default="draft",
                        max_length=8,
                    ),
                ),
                ("priced_on", models.DateField(help_text="prices of this day were used")),
                ("valid_until", models.DateField(blank=True, null=True)),
                ("overhead_percent", models.DecimalField(decimal_places=2, max_digits=5)),
                ("margin_percent", models.DecimalField(decimal_places=2, max_digits=5)),
                ("deposit_percent", models.DecimalField(decimal_places=2, max_digits=5)),
                (
                    "vat_code",
                    models.CharField(
                        choices=[
                            ("standard", "standard rate"),
                            ("reduced", "reduced rate"),
                            ("zero", "zero rate"),
                            ("reverse", "reverse charge"),
                        ],
                        default="standard",
                        max_length=8,
                    ),
                ),
                ("vat_percent", models.DecimalField(decimal_places=2, max_digits=5)),
                (
                    "vat_reason",
                    models.CharField(
                        blank=True,
                        max_length=200,
                        verbose_name="reason and document for another rate",
                    ),
                ),
                ("direct", jobs.kernel.fields.PenceField(default=0, verbose_name="direct cost")),
                ("overhead", jobs.kernel.fields.PenceField(default=0)),
                ("net", jobs.kernel.fields.PenceField(default=0, verbose_name="price before VAT")),
                ("vat", jobs.kernel.fields.PenceField(default=0, verbose_name="VAT")),
                ("gross", jobs.kernel.fields.PenceField(default=0, verbose_name="price with VAT")),
                ("exclusions", models.TextField(blank=True, max_length=4000)),
                ("terms", models.TextField(blank=True, max_length=8000)),
                (
                    "message",
                    models.TextField(
                        blank=True, max_length=2000, verbose_name="words to the customer"
                    ),
                ),
                ("snapshot", models.JSONField(blank=True, null=True)),
                ("engine_version", models.CharField(blank=True, max_length=20)),
                ("sent_to", models.EmailField(blank=True, max_length=254)),
                ("inputs_digest", models.CharField(blank=True, max_length=64)),
                (
                    "pdf_uid",
                    models.UUIDField(blank=True, null=True, verbose_name="attachment with the PDF"),
                ),
                ("pdf_digest", models.CharField(blank=True, max_length=64)),
                ("created_at", models.DateTimeField()),
                ("sent_at", models.DateTimeField(blank=True, null=True)),
                ("closed_at", models.DateTimeField(blank=True, null=True)),
                ("version", models.PositiveIntegerField(default=1)),
                (
                    "created_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "quote",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="revisions",
                        to="quotes.quote",
                    ),
                ),
                (
                    "sent_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "survey",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="jobs.survey",
                    ),
                ),
            ],
            options={
                "ordering": ["quote_id", "-number"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("state__in", ["draft", "sent", "accepted", "declined", "replaced"])
                        ),
                        name="quotes_revision_state",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("vat_code__in", ["standard", "reduced", "zero", "reverse"])
                        ),
                        name="quotes_revision_vat_code",
                    ),
                    models.UniqueConstraint(
                        fields=("quote", "number"), name="quotes_revision_number"
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("state", "accepted")),
                        fields=("quote",),
                        name="quotes_revision_one_accepted",
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
                        name="quotes_revision_adds_up",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("margin_percent__gte", 0), ("margin_percent__lt", 100)),
                        name="quotes_revision_margin_below_100",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("vat_code", "standard"),
                            models.Q(("vat_reason", ""), _negated=True),
                            _connector="OR",
                        ),
                        name="quotes_revision_other_rate_says_why",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("state", "draft"),
                            models.Q(
                                ("sent_at__isnull", False),
                                ("snapshot__isnull", False),
                                ("valid_until__isnull", False),
                            ),
                            _connector="OR",
                        ),
                        name="quotes_revision_sent_is_frozen",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Rendering",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, unique=True)),
                ("inputs_digest", models.CharField(max_length=64)),
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
                ("pages", models.PositiveSmallIntegerField(default=0)),
                ("error", models.CharField(blank=True, max_length=300)),
                (
                    "revision",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="renderings",
                        to="quotes.revision",
                    ),
                ),
            ],
            options={
                "ordering": ["-asked_at"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("state__in", ["due", "rendering", "ready", "failed"])),
                        name="quotes_rendering_state",
                    ),
                    models.UniqueConstraint(
                        fields=("revision", "inputs_digest"), name="quotes_rendering_once"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="QuoteLink",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("token_hash", models.CharField(max_length=64, unique=True)),
                ("created_at", models.DateTimeField()),
                ("expires_at", models.DateTimeField()),
                ("first_opened_at", models.DateTimeField(blank=True, null=True)),
                ("withdrawn_at", models.DateTimeField(blank=True, null=True)),
                (
                    "revision",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="links",
                        to="quotes.revision",
                    ),
                ),
            ],
            options={
                "ordering": ["-created_at"],
            },
        ),
        migrations.CreateModel(
            name="Acceptance",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "answered_by",
                    models.CharField(
                        choices=[("link", "by the link"), ("paper", "on paper")], max_length=5
                    ),
                ),
                ("name", models.CharField(max_length=120, verbose_name="name as typed")),
                ("consents", models.JSONField(default=dict)),
                ("options", models.JSONField(default=list)),
                ("gross", models.BigIntegerField(verbose_name="pence accepted")),
                ("at", models.DateTimeField()),
                ("network_address", models.GenericIPAddressField(null=True)),
                ("user_agent", models.CharField(blank=True, max_length=300)),
                ("pdf_digest", models.CharField(blank=True, max_length=64)),
                (
                    "paper_uid",
                    models.UUIDField(null=True, verbose_name="attachment with the order"),
                ),
                (
                    "recorded_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "revision",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="acceptance",
                        to="quotes.revision",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("answered_by__in", ["link", "paper"])),
                        name="quotes_acceptance_answered_by",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("answered_by", "link"), ("recorded_by", None)),
                            models.Q(
                                ("answered_by", "paper"),
                                ("paper_uid__isnull", False),
                                ("recorded_by__isnull", False),
                            ),
                            _connector="OR",
                        ),
                        name="quotes_acceptance_paper_is_attached",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="TakeOffSettings",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "waste_percent",
                    models.DecimalField(decimal_places=2, default=Decimal("5"), max_digits=5),
                ),
                (
                    "air_c",
                    models.DecimalField(
                        decimal_places=1,
                        default=Decimal("15"),
                        max_digits=4,
                        verbose_name="air (°C)",
                    ),
                ),
                ("part_mixes", models.BooleanField(default=False)),
                ("spare_mixes", models.PositiveSmallIntegerField(default=0)),
                (
                    "survey",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="jobs.survey",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("waste_percent__gte", Decimal("0"))),
                        name="quotes_takeoffsettings_waste",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="WorkItem",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("code", models.CharField(max_length=20, unique=True)),
                ("name", models.CharField(max_length=100)),
                (
                    "unit",
                    models.CharField(
                        choices=[
                            ("m2", "m²"),
                            ("m", "m"),
                            ("m3", "m³"),
                            ("t", "t"),
                            ("each", "each"),
                            ("day", "day"),
                        ],
                        max_length=4,
                    ),
                ),
                (
                    "measure",
                    models.CharField(
                        choices=[
                            ("area", "area of the surface"),
                            ("edge", "open edge with edging"),
                            ("none", "typed in"),
                        ],
                        default="none",
                        max_length=4,
                    ),
                ),
                (
                    "is_surface",
                    models.BooleanField(default=False, verbose_name="labour of the surfacing line"),
                ),
                ("archived_at", models.DateTimeField(blank=True, null=True)),
            ],
            options={
                "ordering": ["name"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("unit__in", ["m2", "m", "m3", "t", "each", "day"])),
                        name="quotes_workitem_unit",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("measure__in", ["area", "edge", "none"])),
                        name="quotes_workitem_measure",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Line",
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
                            ("surface", "surfacing"),
                            ("work", "work"),
                            ("free", "own line"),
                            ("option", "option"),
                            ("provisional", "provisional sum"),
                        ],
                        max_length=11,
                    ),
                ),
                ("words", models.CharField(max_length=200)),
                ("quantity", models.DecimalField(decimal_places=3, max_digits=12)),
                (
                    "unit",
                    models.CharField(
                        choices=[
                            ("m2", "m²"),
                            ("m", "m"),
                            ("m3", "m³"),
                            ("t", "t"),
                            ("each", "each"),
                            ("day", "day"),
                        ],
                        max_length=4,
                    ),
                ),
                ("colour_group", models.CharField(blank=True, max_length=40)),
                ("measured", models.BooleanField(default=False)),
                (
                    "labour_hours",
                    models.DecimalField(decimal_places=2, default=Decimal("0"), max_digits=10),
                ),
                ("labour", jobs.kernel.fields.PenceField(default=0)),
                ("plant", jobs.kernel.fields.PenceField(default=0)),
                ("materials", jobs.kernel.fields.PenceField(default=0)),
                ("other", jobs.kernel.fields.PenceField(default=0)),
                ("direct", jobs.kernel.fields.PenceField(default=0)),
                (
                    "fixed",
                    jobs.kernel.fields.PenceField(
                        blank=True, null=True, verbose_name="fixed price before VAT"
                    ),
                ),
                ("net", jobs.kernel.fields.PenceField(default=0, verbose_name="price before VAT")),
                ("workings", models.JSONField(default=list)),
                (
                    "stock",
                    models.JSONField(
                        default=list, help_text="[{item, quantity, colour_group, phase}]"
                    ),
                ),
                ("chosen", models.BooleanField(default=False, verbose_name="option taken")),
                (
                    "revision",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="lines",
                        to="quotes.revision",
                    ),
                ),
                (
                    "work_item",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="quotes.workitem",
                    ),
                ),
            ],
            options={
                "ordering": ["position", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("kind__in", ["surface", "work", "free", "option", "provisional"])
                        ),
                        name="quotes_line_kind",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("unit__in", ["m2", "m", "m3", "t", "each", "day"])),
                        name="quotes_line_unit",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("quantity__gte", Decimal("0"))),
                        name="quotes_line_quantity",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "direct",
                                django.db.models.expressions.CombinedExpression(
                                    django.db.models.expressions.CombinedExpression(
                                        django.db.models.expressions.CombinedExpression(
                                            models.F("labour"), "+", models.F("plant")
                                        ),
                                        "+",
                                        models.F("materials"),
                                    ),
                                    "+",
                                    models.F("other"),
                                ),
                            )
                        ),
                        name="quotes_line_direct_adds_up",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="WorkItemRate",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("valid_from", models.DateField()),
                (
                    "labour_hours",
                    models.DecimalField(decimal_places=4, default=Decimal("0"), max_digits=8),
                ),
                (
                    "plant",
                    models.DecimalField(
                        decimal_places=4,
                        default=Decimal("0"),
                        max_digits=10,
                        verbose_name="plant (£ a unit)",
                    ),
                ),
                (
                    "material",
                    models.DecimalField(
                        decimal_places=4,
                        default=Decimal("0"),
                        max_digits=10,
                        verbose_name="material (£ a unit)",
                    ),
                ),
                (
                    "stock_per_unit",
                    models.PositiveIntegerField(default=0, verbose_name="base units of it a unit"),
                ),
                (
                    "waste_percent",
                    models.DecimalField(decimal_places=2, default=Decimal("0"), max_digits=5),
                ),
                (
                    "stock_item",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="stock.item",
                    ),
                ),
                (
                    "work_item",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="rates",
                        to="quotes.workitem",
                    ),
                ),
            ],
            options={
                "ordering": ["-valid_from"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("work_item", "valid_from"), name="quotes_workitemrate_from"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("labour_hours__gte", Decimal("0"))),
                        name="quotes_workitemrate_hours",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("plant__gte", Decimal("0"))),
                        name="quotes_workitemrate_plant",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("material__gte", Decimal("0"))),
                        name="quotes_workitemrate_material",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("stock_item", None), ("stock_per_unit", 0)),
                            models.Q(("stock_item__isnull", False), ("stock_per_unit__gt", 0)),
                            _connector="OR",
                        ),
                        name="quotes_workitemrate_stock_with_quantity",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="PlanningAnswers",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "nation",
                    models.CharField(
                        choices=[
                            ("unknown", "not asked yet"),
                            ("england", "England"),
                            ("wales", "Wales"),
                            ("scotland", "Scotland"),
                            ("northern_ireland", "Northern Ireland"),
                        ],
                        default="unknown",
                        max_length=16,
                    ),
                ),
                (
                    "house",
                    models.CharField(
                        choices=[("yes", "yes"), ("no", "no"), ("unknown", "not asked yet")],
                        default="unknown",
                        max_length=10,
                        verbose_name="a dwelling house, no flats and no conversion",
                    ),
                ),
                (
                    "listed",
                    models.CharField(
                        choices=[("yes", "yes"), ("no", "no"), ("unknown", "not asked yet")],
                        default="unknown",
                        max_length=10,
                        verbose_name="a listed building",
                    ),
                ),
                (
                    "article_4",
                    models.CharField(
                        choices=[("yes", "yes"), ("no", "no"), ("unknown", "not asked yet")],
                        default="unknown",
                        max_length=10,
                        verbose_name="Article 4 direction or conservation area",
                    ),
                ),
                (
                    "dropped_kerb",
                    models.CharField(
                        choices=[("yes", "yes"), ("no", "no"), ("unknown", "not asked yet")],
                        default="unknown",
                        max_length=10,
                        verbose_name="new or wider dropped kerb wanted",
                    ),
                ),
                (
                    "porous_below",
                    models.CharField(
                        choices=[("yes", "yes"), ("no", "no"), ("unknown", "not asked yet")],
                        default="unknown",
                        max_length=10,
                        verbose_name="every layer below lets water through to the soil",
                    ),
                ),
                (
                    "drains_on_plot",
                    models.CharField(
                        choices=[("yes", "yes"), ("no", "no"), ("unknown", "not asked yet")],
                        default="unknown",
                        max_length=10,
                        verbose_name="its water is led to porous ground on the plot",
                    ),
                ),
                (
                    "front_m2",
                    models.DecimalField(blank=True, decimal_places=2, max_digits=8, null=True),
                ),
                (
                    "survey",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="jobs.survey",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "nation__in",
                                ["unknown", "england", "wales", "scotland", "northern_ireland"],
                            )
                        ),
                        name="quotes_planning_nation",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("house__in", ["yes", "no", "unknown"])),
                        name="quotes_planning_house",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("listed__in", ["yes", "no", "unknown"])),
                        name="quotes_planning_listed",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("article_4__in", ["yes", "no", "unknown"])),
                        name="quotes_planning_article_4",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("dropped_kerb__in", ["yes", "no", "unknown"])),
                        name="quotes_planning_dropped_kerb",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("porous_below__in", ["yes", "no", "unknown"])),
                        name="quotes_planning_porous_below",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("drains_on_plot__in", ["yes", "no", "unknown"])),
                        name="quotes_planning_drains_on_plot",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("front_m2__gt", 0)), name="quotes_planning_front"
                    ),
                ],
            },
        ),
    ]
