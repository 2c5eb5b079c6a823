import django.db.models.deletion
import django.db.models.expressions
import jobs.kernel.fields
import uuid
from decimal import Decimal
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("jobs", "0002_quotes_and_yard"),
        ("jobs", "__first__"),
        ("quotes", "0001_initial"),
        ("stock", "0002_quotes_and_yard"),
    ]

    operations = [
        migrations.CreateModel(
            name="ChangeLine",
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
                            ("less", "less of the quote"),
                            ("more", "more of the quote"),
                            ("work", "work from the price book"),
                            ("free", "own line"),
                        ],
                        max_length=4,
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
                            ("h", "h"),
                        ],
                        max_length=4,
                    ),
                ),
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
                (
                    "stock",
                    models.JSONField(
                        default=list, help_text="[{item, quantity, colour_group, phase, cost}]"
                    ),
                ),
                (
                    "line",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="quotes.line",
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
                        condition=models.Q(("kind__in", ["less", "more", "work", "free"])),
                        name="quotes_changeline_kind",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("unit__in", ["m2", "m", "m3", "t", "each", "day", "h"])
                        ),
                        name="quotes_changeline_unit",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("quantity__gt", Decimal("0"))),
                        name="quotes_changeline_quantity",
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
                        name="quotes_changeline_direct_adds_up",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("kind__in", ["less", "more"]), ("line__isnull", False)),
                            models.Q(("kind__in", ["work", "free"]), ("line", None)),
                            _connector="OR",
                        ),
                        name="quotes_changeline_of_the_quote",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Ground",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=100, unique=True)),
                ("archived_at", models.DateTimeField(blank=True, null=True)),
            ],
            options={
                "ordering": ["name"],
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="GroundRate",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("valid_from", models.DateField()),
                (
                    "bulking",
                    models.DecimalField(
                        decimal_places=3, max_digits=5, verbose_name="loose m³ from a solid m³"
                    ),
                ),
                (
                    "density",
                    models.DecimalField(
                        decimal_places=3, max_digits=5, verbose_name="t a loose m³"
                    ),
                ),
                (
                    "load_t",
                    models.DecimalField(decimal_places=2, max_digits=5, verbose_name="a load (t)"),
                ),
                (
                    "haul",
                    models.DecimalField(
                        decimal_places=4,
                        default=Decimal("0"),
                        max_digits=10,
                        verbose_name="a load away (£)",
                    ),
                ),
                (
                    "tip",
                    models.DecimalField(
                        decimal_places=4,
                        default=Decimal("0"),
                        max_digits=10,
                        verbose_name="tipping a tonne (£)",
                    ),
                ),
                (
                    "entry",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="rates",
                        to="quotes.ground",
                    ),
                ),
            ],
            options={
                "ordering": ["-valid_from"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("entry", "valid_from"), name="quotes_groundrate_from"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("bulking__gte", Decimal("1"))),
                        name="quotes_groundrate_bulking",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("density__gt", 0)), name="quotes_groundrate_density"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("load_t__gt", 0)), name="quotes_groundrate_load"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("haul__gte", Decimal("0"))),
                        name="quotes_groundrate_haul",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("tip__gte", Decimal("0"))), name="quotes_groundrate_tip"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="PagePicture",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("number", models.PositiveSmallIntegerField()),
                ("attachment_uid", models.UUIDField()),
                (
                    "width",
                    models.PositiveSmallIntegerField(verbose_name="width in points of the picture"),
                ),
                (
                    "height",
                    models.PositiveSmallIntegerField(
                        verbose_name="height in points of the picture"
                    ),
                ),
                (
                    "rendering",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="pictures",
                        to="quotes.rendering",
                    ),
                ),
            ],
            options={
                "ordering": ["rendering_id", "number"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("rendering", "number"), name="quotes_pagepicture_once"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("number__gt", 0)), name="quotes_pagepicture_number"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Plant",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=100, unique=True)),
                ("archived_at", models.DateTimeField(blank=True, null=True)),
            ],
            options={
                "ordering": ["name"],
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="PlantRate",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("valid_from", models.DateField()),
                (
                    "day_rate",
                    models.DecimalField(decimal_places=4, max_digits=10, verbose_name="a day (£)"),
                ),
                (
                    "week_rate",
                    models.DecimalField(
                        blank=True,
                        decimal_places=4,
                        max_digits=10,
                        null=True,
                        verbose_name="a week (£)",
                    ),
                ),
                (
                    "week_days",
                    models.PositiveSmallIntegerField(
                        default=5, verbose_name="days that a week covers"
                    ),
                ),
                (
                    "minimum_days",
                    models.PositiveSmallIntegerField(default=1, verbose_name="least hire (days)"),
                ),
                (
                    "delivery",
                    models.DecimalField(
                        decimal_places=4,
                        default=Decimal("0"),
                        max_digits=10,
                        verbose_name="brought and fetched (£)",
                    ),
                ),
                (
                    "entry",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="rates",
                        to="quotes.plant",
                    ),
                ),
            ],
            options={
                "ordering": ["-valid_from"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("entry", "valid_from"), name="quotes_plantrate_from"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("day_rate__gte", Decimal("0"))),
                        name="quotes_plantrate_day",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("week_rate__gte", Decimal("0"))),
                        name="quotes_plantrate_week",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("minimum_days__gte", 1)),
                        name="quotes_plantrate_minimum",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("delivery__gte", Decimal("0"))),
                        name="quotes_plantrate_delivery",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("week_days__gte", 1), ("week_days__lte", 7)),
                        name="quotes_plantrate_week_days",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="SmallJob",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=100, unique=True)),
                ("archived_at", models.DateTimeField(blank=True, null=True)),
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
                            ("h", "h"),
                        ],
                        default="each",
                        max_length=4,
                    ),
                ),
            ],
            options={
                "ordering": ["name"],
                "abstract": False,
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("unit__in", ["m2", "m", "m3", "t", "each", "day", "h"])
                        ),
                        name="quotes_smalljob_unit",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="SmallJobRate",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("valid_from", models.DateField()),
                (
                    "price",
                    models.DecimalField(
                        decimal_places=2, max_digits=10, verbose_name="price before VAT (£)"
                    ),
                ),
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
                        verbose_name="plant (£)",
                    ),
                ),
                (
                    "material",
                    models.DecimalField(
                        decimal_places=4,
                        default=Decimal("0"),
                        max_digits=10,
                        verbose_name="material (£)",
                    ),
                ),
                (
                    "entry",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="rates",
                        to="quotes.smalljob",
                    ),
                ),
            ],
            options={
                "ordering": ["-valid_from"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("entry", "valid_from"), name="quotes_smalljobrate_from"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("price__gte", Decimal("0"))),
                        name="quotes_smalljobrate_price",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("labour_hours__gte", Decimal("0"))),
                        name="quotes_smalljobrate_hours",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("plant__gte", Decimal("0"))),
                        name="quotes_smalljobrate_plant",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("material__gte", Decimal("0"))),
                        name="quotes_smalljobrate_material",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Variation",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, unique=True)),
                ("number", models.PositiveSmallIntegerField(blank=True, null=True)),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("draft", "draft"),
                            ("sent", "sent"),
                            ("accepted", "accepted"),
                            ("declined", "declined"),
                            ("replaced", "replaced by a newer one"),
                            ("withdrawn", "withdrawn"),
                        ],
                        default="draft",
                        max_length=9,
                    ),
                ),
                ("title", models.CharField(max_length=120, verbose_name="what changes")),
                (
                    "words",
                    models.TextField(
                        blank=True, max_length=4000, verbose_name="words to the customer"
                    ),
                ),
                (
                    "days_added",
                    models.SmallIntegerField(default=0, verbose_name="days more on site"),
                ),
                (
                    "restocking_percent",
                    models.DecimalField(
                        decimal_places=2,
                        default=Decimal("0"),
                        max_digits=5,
                        verbose_name="suppliers take for taking back",
                    ),
                ),
                (
                    "charge_kept",
                    models.BooleanField(
                        default=True, verbose_name="charge what cannot be returned"
                    ),
                ),
                ("valid_until", models.DateField()),
                ("priced_on", models.DateField()),
                ("direct", jobs.kernel.fields.PenceField(default=0, verbose_name="direct cost")),
                ("overhead", jobs.kernel.fields.PenceField(default=0)),
                (
                    "restocking",
                    jobs.kernel.fields.PenceField(default=0, verbose_name="taking back"),
                ),
                (
                    "kept_material",
                    jobs.kernel.fields.PenceField(
                        default=0, verbose_name="material that cannot be returned"
                    ),
                ),
                ("net", jobs.kernel.fields.PenceField(default=0, verbose_name="change before VAT")),
                ("vat", jobs.kernel.fields.PenceField(default=0, verbose_name="VAT")),
                ("gross", jobs.kernel.fields.PenceField(default=0, verbose_name="change with VAT")),
                ("order_by", models.DateTimeField(blank=True, null=True)),
                ("snapshot", models.JSONField(blank=True, null=True)),
                ("sent_to", models.EmailField(blank=True, max_length=254)),
                (
                    "pdf_uid",
                    models.UUIDField(blank=True, null=True, verbose_name="attachment with the PDF"),
                ),
                ("pdf_digest", models.CharField(blank=True, max_length=64)),
                ("drawing_at", models.DateTimeField(blank=True, null=True)),
                ("drawing_error", models.CharField(blank=True, max_length=300)),
                ("created_at", models.DateTimeField()),
                ("sent_at", models.DateTimeField(blank=True, null=True)),
                ("closed_at", models.DateTimeField(blank=True, null=True)),
                ("decline_reason", models.CharField(blank=True, max_length=300)),
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
                    "revision",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="variations",
                        to="quotes.revision",
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
            ],
            options={
                "ordering": ["revision_id", "-created_at", "-pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "state__in",
                                ["draft", "sent", "accepted", "declined", "replaced", "withdrawn"],
                            )
                        ),
                        name="quotes_variation_state",
                    ),
                    models.UniqueConstraint(
                        fields=("revision", "number"), name="quotes_variation_number"
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
                        name="quotes_variation_adds_up",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("number", None), ("state", "draft")),
                            models.Q(
                                ("number__isnull", False),
                                ("sent_at__isnull", False),
                                ("snapshot__isnull", False),
                            ),
                            _connector="OR",
                        ),
                        name="quotes_variation_sent_is_frozen",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("restocking_percent__gte", 0), ("restocking_percent__lte", 100)
                        ),
                        name="quotes_variation_restocking_percent",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("restocking__gte", 0)),
                        name="quotes_variation_restocking",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("kept_material__gte", 0)),
                        name="quotes_variation_kept_material",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="VariationAnswer",
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
                    "variation",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="answer",
                        to="quotes.variation",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("answered_by__in", ["link", "paper"])),
                        name="quotes_variationanswer_answered_by",
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
                        name="quotes_variationanswer_paper_is_attached",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="VariationLink",
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
                    "variation",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="links",
                        to="quotes.variation",
                    ),
                ),
            ],
            options={
                "ordering": ["-created_at"],
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Watch",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("plan", models.JSONField(default=list)),
                ("paused_at", models.DateTimeField(blank=True, null=True)),
                ("resumed_at", models.DateTimeField(blank=True, null=True)),
                ("rise", jobs.kernel.fields.PenceField(blank=True, null=True)),
                ("checked_on", models.DateField(blank=True, null=True)),
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
                    "revision",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="watch",
                        to="quotes.revision",
                    ),
                ),
            ],
            options={
                "ordering": ["revision_id"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("rise", None),
                            models.Q(("checked_on__isnull", False), ("rise__gt", 0)),
                            _connector="OR",
                        ),
                        name="quotes_watch_rise_was_checked",
                    )
                ],
            },
        ),
        migrations.RemoveConstraint(
            model_name="line",
            name="quotes_line_kind",
        ),
        migrations.RemoveConstraint(
            model_name="line",
            name="quotes_line_unit",
        ),
        migrations.RemoveConstraint(
            model_name="workitem",
            name="quotes_workitem_unit",
        ),
        migrations.AddField(
            model_name="firmrates",
            name="crew_size",
            field=models.PositiveSmallIntegerField(default=2, verbose_name="people of a crew"),
        ),
        migrations.AddField(
            model_name="firmrates",
            name="day_hours",
            field=models.DecimalField(
                decimal_places=2,
                default=Decimal("8"),
                max_digits=4,
                verbose_name="hours of a crew's day",
            ),
        ),
        migrations.AddField(
            model_name="firmrates",
            name="daywork_labour_percent",
            field=models.DecimalField(
                blank=True,
                decimal_places=2,
                max_digits=5,
                null=True,
                verbose_name="day-work: on labour (%)",
            ),
        ),
        migrations.AddField(
            model_name="firmrates",
            name="daywork_material_percent",
            field=models.DecimalField(
                blank=True,
                decimal_places=2,
                max_digits=5,
                null=True,
                verbose_name="day-work: on material (%)",
            ),
        ),
        migrations.AddField(
            model_name="firmrates",
            name="daywork_plant_percent",
            field=models.DecimalField(
                blank=True,
                decimal_places=2,
                max_digits=5,
                null=True,
                verbose_name="day-work: on plant (%)",
            ),
        ),
        migrations.AddField(
            model_name="firmrates",
            name="mile_rate",
            field=models.DecimalField(
                decimal_places=4,
                default=Decimal("0.45"),
                max_digits=10,
                verbose_name="travel (£ a mile)",
            ),
        ),
        migrations.AddField(
            model_name="line",
            name="asked",
            field=models.JSONField(blank=True, default=dict),
        ),
        migrations.AddField(
            model_name="line",
            name="caution",
            field=models.CharField(
                blank=True, max_length=300, verbose_name="what to know about it"
            ),
        ),
        migrations.AddField(
            model_name="revision",
            name="crew_size",
            field=models.PositiveSmallIntegerField(default=2, verbose_name="people on site"),
        ),
        migrations.AddField(
            model_name="revision",
            name="day_hours",
            field=models.DecimalField(
                decimal_places=2,
                default=Decimal("8"),
                max_digits=4,
                verbose_name="hours of a day on site",
            ),
        ),
        migrations.AddField(
            model_name="revision",
            name="discount_fixed",
            field=jobs.kernel.fields.PenceField(default=0, verbose_name="discount"),
        ),
        migrations.AddField(
            model_name="revision",
            name="discount_percent",
            field=models.DecimalField(decimal_places=2, default=Decimal("0"), max_digits=5),
        ),
        migrations.AddField(
            model_name="revision",
            name="pace_m2",
            field=models.DecimalField(blank=True, decimal_places=2, max_digits=8, null=True),
        ),
        migrations.AddField(
            model_name="revision",
            name="sample_blend",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="stock.blend",
            ),
        ),
        migrations.AddField(
            model_name="revision",
            name="sample_shown_on",
            field=models.DateField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="revision",
            name="sample_signed_by",
            field=models.CharField(blank=True, max_length=120),
        ),
        migrations.AddField(
            model_name="revision",
            name="vat_document",
            field=models.UUIDField(blank=True, null=True),
        ),
        migrations.AlterField(
            model_name="line",
            name="kind",
            field=models.CharField(
                choices=[
                    ("surface", "surfacing"),
                    ("work", "work"),
                    ("free", "own line"),
                    ("option", "option"),
                    ("provisional", "provisional sum"),
                    ("travel", "travel"),
                    ("hire", "hire"),
                    ("daywork", "day-work"),
                    ("muck", "ground carted away"),
                    ("small", "small job"),
                    ("minimum", "made up to the least price of a job"),
                    ("discount", "discount"),
                ],
                max_length=11,
            ),
        ),
        migrations.AlterField(
            model_name="line",
            name="unit",
            field=models.CharField(
                choices=[
                    ("m2", "m²"),
                    ("m", "m"),
                    ("m3", "m³"),
                    ("t", "t"),
                    ("each", "each"),
                    ("day", "day"),
                    ("h", "h"),
                ],
                max_length=4,
            ),
        ),
        migrations.AlterField(
            model_name="workitem",
            name="unit",
            field=models.CharField(
                choices=[
                    ("m2", "m²"),
                    ("m", "m"),
                    ("m3", "m³"),
                    ("t", "t"),
                    ("each", "each"),
                    ("day", "day"),
                    ("h", "h"),
                ],
                max_length=4,
            ),
        ),
        migrations.AddConstraint(
            model_name="firmrates",
            constraint=models.CheckConstraint(
                condition=models.Q(("mile_rate__gte", Decimal("0"))), name="quotes_firmrates_mile"
            ),
        ),
        migrations.AddConstraint(
            model_name="firmrates",
            constraint=models.CheckConstraint(
                condition=models.Q(("crew_size__gte", 1)), name="quotes_firmrates_crew"
            ),
        ),
        migrations.AddConstraint(
            model_name="firmrates",
            constraint=models.CheckConstraint(
                condition=models.Q(("day_hours__gt", 0)), name="quotes_firmrates_day"
            ),
        ),
        migrations.AddConstraint(
            model_name="firmrates",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        ("daywork_labour_percent", None),
                        ("daywork_material_percent", None),
                        ("daywork_plant_percent", None),
                    ),
                    models.Q(
                        ("daywork_labour_percent__gte", 0),
                        ("daywork_material_percent__gte", 0),
                        ("daywork_plant_percent__gte", 0),
                    ),
                    _connector="OR",
                ),
                name="quotes_firmrates_daywork_whole",
            ),
        ),
        migrations.AddConstraint(
            model_name="line",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    (
                        "kind__in",
                        [
                            "surface",
                            "work",
                            "free",
                            "option",
                            "provisional",
                            "travel",
                            "hire",
                            "daywork",
                            "muck",
                            "small",
                            "minimum",
                            "discount",
                        ],
                    )
                ),
                name="quotes_line_kind",
            ),
        ),
        migrations.AddConstraint(
            model_name="line",
            constraint=models.CheckConstraint(
                condition=models.Q(("unit__in", ["m2", "m", "m3", "t", "each", "day", "h"])),
                name="quotes_line_unit",
            ),
        ),
        migrations.AddConstraint(
            model_name="line",
            constraint=models.UniqueConstraint(
                condition=models.Q(("kind__in", ("minimum", "discount"))),
                fields=("revision", "kind"),
                name="quotes_line_own_once",
            ),
        ),
        migrations.AddConstraint(
            model_name="revision",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("discount_fixed__gte", 0), ("discount_percent", 0)),
                    models.Q(
                        ("discount_fixed", 0),
                        ("discount_percent__gt", 0),
                        ("discount_percent__lte", 100),
                    ),
                    _connector="OR",
                ),
                name="quotes_revision_one_discount",
            ),
        ),
        migrations.AddConstraint(
            model_name="revision",
            constraint=models.CheckConstraint(
                condition=models.Q(("crew_size__gte", 1)), name="quotes_revision_crew"
            ),
        ),
        migrations.AddConstraint(
            model_name="revision",
            constraint=models.CheckConstraint(
                condition=models.Q(("day_hours__gt", 0)), name="quotes_revision_day"
            ),
        ),
        migrations.AddConstraint(
            model_name="revision",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        ("sample_blend", None), ("sample_shown_on", None), ("sample_signed_by", "")
                    ),
                    models.Q(("sample_blend__isnull", False), ("sample_shown_on__isnull", False)),
                    _connector="OR",
                ),
                name="quotes_revision_sample_with_its_day",
            ),
        ),
        migrations.AddConstraint(
            model_name="workitem",
            constraint=models.CheckConstraint(
                condition=models.Q(("unit__in", ["m2", "m", "m3", "t", "each", "day", "h"])),
                name="quotes_workitem_unit",
            ),
        ),
        migrations.AddField(
            model_name="variation",
            name="replaces",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="replaced_by",
                to="quotes.variation",
            ),
        ),
        migrations.AddField(
            model_name="changeline",
            name="variation",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE,
                related_name="lines",
                to="quotes.variation",
            ),
        ),
    ]
