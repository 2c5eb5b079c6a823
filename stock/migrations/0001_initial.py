import django.db.models.deletion
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
    ]

    operations = [
        migrations.CreateModel(
            name="Channel",
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
                            ("online", "online"),
                            ("telephone", "telephone"),
                            ("counter", "counter"),
                        ],
                        max_length=10,
                    ),
                ),
                ("lead_days", models.PositiveSmallIntegerField(verbose_name="lead (working days)")),
                ("carriage", jobs.kernel.fields.PenceField(default=0, verbose_name="carriage")),
                ("minimum", jobs.kernel.fields.PenceField(default=0, verbose_name="least order")),
            ],
            options={
                "ordering": ["supplier_id", "kind"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("kind__in", ["online", "telephone", "counter"])),
                        name="stock_channel_kind",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("carriage__gte", 0)), name="stock_channel_carriage"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("minimum__gte", 0)), name="stock_channel_minimum"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="ReorderRun",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("on", models.DateField(unique=True)),
                ("ran_at", models.DateTimeField()),
            ],
            options={
                "ordering": ["-on"],
            },
        ),
        migrations.CreateModel(
            name="Supplier",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=80, unique=True)),
                ("email", models.EmailField(blank=True, max_length=254)),
                ("phone", models.CharField(blank=True, max_length=30)),
                (
                    "account_number",
                    models.CharField(blank=True, max_length=30, verbose_name="our account there"),
                ),
                (
                    "clock",
                    models.CharField(
                        default="Europe/London", max_length=40, verbose_name="their clock"
                    ),
                ),
                (
                    "works",
                    models.CharField(default="1111100", max_length=7, verbose_name="working days"),
                ),
                (
                    "delivers",
                    models.CharField(default="1111100", max_length=7, verbose_name="delivery days"),
                ),
                (
                    "claim_days",
                    models.PositiveSmallIntegerField(
                        default=1, verbose_name="days to claim damage"
                    ),
                ),
                ("notes", models.TextField(blank=True, max_length=1000)),
                ("archived_at", models.DateTimeField(blank=True, null=True)),
            ],
            options={
                "ordering": ["name"],
            },
        ),
        migrations.CreateModel(
            name="Item",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, unique=True)),
                ("code", models.CharField(max_length=20, unique=True)),
                ("name", models.CharField(max_length=80)),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("kit", "resin kit"),
                            ("stone", "stone"),
                            ("filler", "filler"),
                            ("primer", "primer"),
                            ("edging", "edging"),
                            ("sundry", "sundry"),
                        ],
                        max_length=8,
                    ),
                ),
                (
                    "base_unit",
                    models.CharField(
                        choices=[("piece", "piece"), ("g", "g"), ("ml", "ml"), ("mm", "mm")],
                        max_length=6,
                    ),
                ),
                (
                    "pack_name",
                    models.CharField(
                        default="bag", help_text="kit, bag, tin, length", max_length=20
                    ),
                ),
                (
                    "pack_quantity",
                    jobs.kernel.fields.BaseUnitField(default=1, help_text="base units in one pack"),
                ),
                (
                    "pack_mass_g",
                    models.PositiveIntegerField(default=0, verbose_name="mass of a pack (g)"),
                ),
                ("packs_per_pallet", models.PositiveSmallIntegerField(blank=True, null=True)),
                (
                    "run_matched",
                    models.BooleanField(
                        default=False, verbose_name="one production run for each colour group"
                    ),
                ),
                (
                    "size_low_mm",
                    models.DecimalField(blank=True, decimal_places=1, max_digits=4, null=True),
                ),
                (
                    "size_high_mm",
                    models.DecimalField(blank=True, decimal_places=1, max_digits=4, null=True),
                ),
                (
                    "part_a_g",
                    models.PositiveIntegerField(blank=True, null=True, verbose_name="part A (g)"),
                ),
                (
                    "part_b_g",
                    models.PositiveIntegerField(blank=True, null=True, verbose_name="part B (g)"),
                ),
                (
                    "uv_stable",
                    models.BooleanField(default=True, verbose_name="keeps its colour in daylight"),
                ),
                (
                    "season",
                    models.CharField(
                        choices=[
                            ("all", "all year"),
                            ("summer", "summer grade"),
                            ("winter", "winter grade"),
                        ],
                        default="all",
                        max_length=6,
                    ),
                ),
                (
                    "working_min_20c",
                    models.PositiveSmallIntegerField(
                        blank=True, null=True, verbose_name="working time (min)"
                    ),
                ),
                (
                    "rain_safe_min_20c",
                    models.PositiveIntegerField(
                        blank=True, null=True, verbose_name="rain-safe (min)"
                    ),
                ),
                (
                    "cure_min_20c",
                    models.PositiveIntegerField(blank=True, null=True, verbose_name="cure (min)"),
                ),
                (
                    "foot_min_20c",
                    models.PositiveIntegerField(
                        blank=True, null=True, verbose_name="on foot (min)"
                    ),
                ),
                (
                    "vehicle_min_20c",
                    models.PositiveIntegerField(
                        blank=True, null=True, verbose_name="vehicles (min)"
                    ),
                ),
                (
                    "time_table",
                    models.JSONField(
                        blank=True,
                        default=list,
                        help_text="the maker's rows: [°C, working min, cure min]",
                    ),
                ),
                ("shelf_life_months", models.PositiveSmallIntegerField(blank=True, null=True)),
                ("expiry_margin_days", models.PositiveSmallIntegerField(default=0)),
                ("conditioning_hours", models.PositiveSmallIntegerField(default=0)),
                (
                    "store_low_c",
                    models.DecimalField(blank=True, decimal_places=1, max_digits=4, null=True),
                ),
                (
                    "store_high_c",
                    models.DecimalField(blank=True, decimal_places=1, max_digits=4, null=True),
                ),
                ("store_hours_allowed", models.PositiveSmallIntegerField(default=0)),
                ("storage_note", models.CharField(blank=True, max_length=300)),
                ("hazard_note", models.CharField(blank=True, max_length=300)),
                (
                    "least",
                    jobs.kernel.fields.BaseUnitField(default=0, verbose_name="reorder below"),
                ),
                ("most", jobs.kernel.fields.BaseUnitField(default=0, verbose_name="order up to")),
                ("archived_at", models.DateTimeField(blank=True, null=True)),
                ("version", models.PositiveIntegerField(default=1)),
            ],
            options={
                "ordering": ["kind", "name"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("kind__in", ["kit", "stone", "filler", "primer", "edging", "sundry"])
                        ),
                        name="stock_item_kind",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("base_unit__in", ["piece", "g", "ml", "mm"])),
                        name="stock_item_base_unit",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("season__in", ["all", "summer", "winter"])),
                        name="stock_item_season",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("pack_quantity__gt", 0)), name="stock_item_pack"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("least__gte", 0)), name="stock_item_least"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("most__gte", 0)), name="stock_item_most"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("base_unit", "piece"),
                                ("kind", "kit"),
                                ("part_a_g__gt", 0),
                                ("part_b_g__gt", 0),
                            ),
                            models.Q(
                                models.Q(("kind", "kit"), _negated=True),
                                ("part_a_g", None),
                                ("part_b_g", None),
                            ),
                            _connector="OR",
                        ),
                        name="stock_item_kit_has_two_parts",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("run_matched", False), ("kind", "stone"), _connector="OR"
                        ),
                        name="stock_item_run_is_of_stone",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Excursion",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "side",
                    models.CharField(choices=[("high", "above"), ("low", "below")], max_length=4),
                ),
                (
                    "limit_c",
                    models.DecimalField(decimal_places=1, max_digits=4, verbose_name="limit (°C)"),
                ),
                ("hours_allowed", models.PositiveSmallIntegerField()),
                ("started_at", models.DateTimeField()),
                ("ended_at", models.DateTimeField()),
                (
                    "hours",
                    models.DecimalField(
                        decimal_places=2, max_digits=8, verbose_name="hours beyond"
                    ),
                ),
                (
                    "extreme_c",
                    models.DecimalField(
                        decimal_places=2, max_digits=5, verbose_name="farthest (°C)"
                    ),
                ),
                ("found_at", models.DateTimeField()),
                ("answered_at", models.DateTimeField(null=True)),
                (
                    "outcome",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("released", "release what it held"),
                            ("kept", "keep it held, to be wasted or sent back"),
                        ],
                        max_length=8,
                    ),
                ),
                ("finding", models.CharField(blank=True, max_length=200)),
                (
                    "answered_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "item",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="stock.item",
                    ),
                ),
            ],
            options={
                "ordering": ["-started_at", "-pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("side__in", ["high", "low"])),
                        name="stock_excursion_side",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("hours__gt", 0)), name="stock_excursion_hours"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("ended_at__gte", models.F("started_at"))),
                        name="stock_excursion_ends_after",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("answered_at", None), ("finding", ""), ("outcome", "")),
                            models.Q(
                                ("answered_at__isnull", False),
                                models.Q(("outcome", ""), _negated=True),
                                models.Q(("finding", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="stock_excursion_answer_is_whole",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Blend",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=60, unique=True)),
                (
                    "yield_area_m2",
                    models.DecimalField(blank=True, decimal_places=3, max_digits=6, null=True),
                ),
                (
                    "yield_depth_mm",
                    models.DecimalField(blank=True, decimal_places=1, max_digits=4, null=True),
                ),
                (
                    "compacted_density",
                    models.DecimalField(
                        blank=True,
                        decimal_places=1,
                        max_digits=6,
                        null=True,
                        verbose_name="compacted density (kg/m³)",
                    ),
                ),
                (
                    "mix_seconds",
                    models.PositiveSmallIntegerField(default=120, verbose_name="mixing (s)"),
                ),
                ("archived_at", models.DateTimeField(blank=True, null=True)),
                ("version", models.PositiveIntegerField(default=1)),
                (
                    "kit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="kit_of",
                        to="stock.item",
                    ),
                ),
            ],
            options={
                "ordering": ["name"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("yield_area_m2__gt", 0), ("yield_depth_mm__gt", 0)),
                            models.Q(
                                ("compacted_density__gt", 0),
                                ("yield_area_m2", None),
                                ("yield_depth_mm", None),
                            ),
                            _connector="OR",
                        ),
                        name="stock_blend_yield_or_density",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="LayDay",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, unique=True)),
                ("day", models.DateField()),
                ("base_accepted_at", models.DateTimeField(blank=True, null=True)),
                (
                    "air_c",
                    models.DecimalField(blank=True, decimal_places=1, max_digits=4, null=True),
                ),
                (
                    "surface_c",
                    models.DecimalField(blank=True, decimal_places=1, max_digits=4, null=True),
                ),
                (
                    "humidity_percent",
                    models.DecimalField(blank=True, decimal_places=1, max_digits=4, null=True),
                ),
                ("readings_at", models.DateTimeField(blank=True, null=True)),
                ("base_note", models.CharField(blank=True, max_length=300)),
                ("base_findings", models.JSONField(blank=True, default=list)),
                ("dry_until", models.DateTimeField(blank=True, null=True)),
                ("balanced_at", models.DateTimeField(blank=True, null=True)),
                ("closed_at", models.DateTimeField(blank=True, null=True)),
                ("version", models.PositiveIntegerField(default=1)),
                (
                    "base_accepted_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "job",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="jobs.job"
                    ),
                ),
                (
                    "lead",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["-day", "pk"],
                "constraints": [
                    models.UniqueConstraint(fields=("job", "day"), name="stock_layday_once"),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("base_accepted_at", None),
                            models.Q(
                                ("air_c__isnull", False),
                                ("humidity_percent__isnull", False),
                                ("surface_c__isnull", False),
                            ),
                            _connector="OR",
                        ),
                        name="stock_layday_accepted_with_readings",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="LayBay",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=40)),
                ("area_name", models.CharField(blank=True, max_length=60)),
                (
                    "area_m2",
                    models.DecimalField(blank=True, decimal_places=2, max_digits=7, null=True),
                ),
                ("full_at", models.DateTimeField(blank=True, null=True)),
                (
                    "blend",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="stock.blend",
                    ),
                ),
                (
                    "lay_day",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="bays",
                        to="stock.layday",
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("area_m2", None), ("full_at", None)),
                            models.Q(("area_m2__gt", 0), ("full_at__isnull", False)),
                            _connector="OR",
                        ),
                        name="stock_laybay_full_is_measured",
                    ),
                    models.UniqueConstraint(fields=("lay_day", "name"), name="stock_laybay_name"),
                ],
            },
        ),
        migrations.CreateModel(
            name="Lot",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, unique=True)),
                ("code", models.CharField(max_length=20, unique=True)),
                ("run", models.CharField(blank=True, max_length=30, verbose_name="production run")),
                (
                    "batch_a",
                    models.CharField(blank=True, max_length=30, verbose_name="batch of part A"),
                ),
                ("expiry_a", models.DateField(blank=True, null=True, verbose_name="use part A by")),
                (
                    "batch_b",
                    models.CharField(blank=True, max_length=30, verbose_name="batch of part B"),
                ),
                ("expiry_b", models.DateField(blank=True, null=True, verbose_name="use part B by")),
                ("expiry", models.DateField(blank=True, null=True, verbose_name="use by")),
                (
                    "status",
                    models.CharField(
                        choices=[("released", "ready"), ("held", "held")],
                        default="released",
                        max_length=8,
                    ),
                ),
                ("held_reason", models.CharField(blank=True, max_length=200)),
                ("received_on", models.DateField()),
                ("received", jobs.kernel.fields.BaseUnitField()),
                ("on_hand", jobs.kernel.fields.BaseUnitField(default=0)),
                ("at_sites", jobs.kernel.fields.BaseUnitField(default=0)),
                ("reserved", jobs.kernel.fields.BaseUnitField(default=0)),
                ("cost", jobs.kernel.fields.PenceField(default=0, verbose_name="landed cost")),
                ("costed", jobs.kernel.fields.BaseUnitField(default=0)),
                (
                    "item",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="lots",
                        to="stock.item",
                    ),
                ),
                (
                    "parent",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="parts",
                        to="stock.lot",
                    ),
                ),
            ],
            options={
                "ordering": ["item_id", "expiry", "received_on", "pk"],
                "indexes": [
                    models.Index(fields=["item", "status", "expiry"], name="stock_lot_usable")
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("status__in", ["released", "held"])),
                        name="stock_lot_status",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("received__gt", 0)), name="stock_lot_received"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("reserved__gte", 0)), name="stock_lot_reserved"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("at_sites__gte", 0)), name="stock_lot_at_sites"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("costed__gte", 0)), name="stock_lot_costed"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("cost__gte", 0)), name="stock_lot_cost"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("reserved__lte", models.F("on_hand"))),
                        name="stock_lot_reserved_is_there",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("status", "held"), models.Q(("held_reason", ""), _negated=True)
                            ),
                            models.Q(("held_reason", ""), ("status", "released")),
                            _connector="OR",
                        ),
                        name="stock_lot_held_says_why",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="ExcursionLot",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "quantity",
                    jobs.kernel.fields.BaseUnitField(verbose_name="the most that lay there"),
                ),
                ("hours", models.DecimalField(decimal_places=2, max_digits=8)),
                (
                    "held_reason",
                    models.CharField(
                        blank=True, max_length=200, verbose_name="held with these words"
                    ),
                ),
                (
                    "note",
                    models.CharField(
                        blank=True, max_length=200, verbose_name="why it was not held"
                    ),
                ),
                (
                    "excursion",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="lots",
                        to="stock.excursion",
                    ),
                ),
                (
                    "lot",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="stock.lot",
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("excursion", "lot"), name="stock_excursionlot_once"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("quantity__gte", 0)), name="stock_excursionlot_quantity"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Mix",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(unique=True)),
                ("number", models.PositiveSmallIntegerField()),
                ("started_at", models.DateTimeField()),
                ("logged_at", models.DateTimeField()),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("laid", "laid"),
                            ("spilt", "spilt"),
                            ("void", "logged by mistake"),
                        ],
                        default="laid",
                        max_length=5,
                    ),
                ),
                (
                    "bay",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="mixes",
                        to="stock.laybay",
                    ),
                ),
                (
                    "blend",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="mixes",
                        to="stock.blend",
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
                (
                    "lay_day",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="mixes",
                        to="stock.layday",
                    ),
                ),
            ],
            options={
                "ordering": ["number"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("state__in", ["laid", "spilt", "void"])),
                        name="stock_mix_state",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("number__gt", 0)), name="stock_mix_number"
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("state", "void"), _negated=True),
                        fields=("lay_day", "number"),
                        name="stock_mix_number_once",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Discrepancy",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("quantity", jobs.kernel.fields.BaseUnitField(default=0)),
                ("what", models.CharField(max_length=300)),
                ("found_at", models.DateTimeField()),
                ("answered_at", models.DateTimeField(blank=True, null=True)),
                ("answer", models.CharField(blank=True, max_length=300)),
                (
                    "answered_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "lay_day",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="discrepancies",
                        to="stock.layday",
                    ),
                ),
                (
                    "lot",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="stock.lot",
                    ),
                ),
                (
                    "mix",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="stock.mix",
                    ),
                ),
            ],
            options={
                "ordering": ["-found_at", "-pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("answer", ""), ("answered_at", None)),
                            models.Q(
                                ("answered_at__isnull", False),
                                models.Q(("answer", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="stock_discrepancy_answered_in_words",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Order",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, unique=True)),
                ("reference", models.CharField(blank=True, max_length=20, null=True, unique=True)),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("draft", "draft"),
                            ("placed", "placed"),
                            ("confirmed", "confirmed"),
                            ("received", "received"),
                            ("cancelled", "cancelled"),
                        ],
                        default="draft",
                        max_length=10,
                    ),
                ),
                ("carriage", jobs.kernel.fields.PenceField(default=0)),
                ("drafted_at", models.DateTimeField()),
                ("placed_at", models.DateTimeField(blank=True, null=True)),
                ("expected_on", models.DateField(blank=True, null=True)),
                ("supplier_reference", models.CharField(blank=True, max_length=40)),
                ("note", models.CharField(blank=True, max_length=300)),
                ("version", models.PositiveIntegerField(default=1)),
                (
                    "channel",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="orders",
                        to="stock.channel",
                    ),
                ),
                (
                    "drafted_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "supplier",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="orders",
                        to="stock.supplier",
                    ),
                ),
            ],
            options={
                "ordering": ["-drafted_at", "-pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("state__in", ["draft", "placed", "confirmed", "received", "cancelled"])
                        ),
                        name="stock_order_state",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("carriage__gte", 0)), name="stock_order_carriage"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("placed_at", None), ("reference", None), ("state", "draft")),
                            ("state", "cancelled"),
                            models.Q(
                                ("placed_at__isnull", False),
                                ("reference__isnull", False),
                                ("state__in", ["placed", "confirmed", "received"]),
                            ),
                            _connector="OR",
                        ),
                        name="stock_order_placed_has_reference",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="GoodsIn",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(unique=True)),
                ("received_at", models.DateTimeField()),
                ("delivery_note", models.CharField(blank=True, max_length=40)),
                (
                    "carriage",
                    jobs.kernel.fields.PenceField(default=0, verbose_name="carriage charged"),
                ),
                (
                    "claim_by",
                    models.DateField(blank=True, null=True, verbose_name="claim damage by"),
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
                (
                    "order",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="deliveries",
                        to="stock.order",
                    ),
                ),
            ],
            options={
                "ordering": ["-received_at"],
            },
        ),
        migrations.CreateModel(
            name="OrderLine",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("colour_group", models.CharField(blank=True, max_length=40)),
                ("packs", models.PositiveIntegerField()),
                ("pack_price", models.DecimalField(decimal_places=4, max_digits=10)),
                ("one_run", models.BooleanField(default=False, verbose_name="all of one run")),
                ("accepted", jobs.kernel.fields.BaseUnitField(default=0)),
                ("closed", models.BooleanField(default=False)),
                (
                    "item",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="order_lines",
                        to="stock.item",
                    ),
                ),
                (
                    "job",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="jobs.job",
                    ),
                ),
                (
                    "order",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="lines",
                        to="stock.order",
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("packs__gt", 0)), name="stock_orderline_packs"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("accepted__gte", 0)), name="stock_orderline_accepted"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("pack_price__gte", 0)), name="stock_orderline_price"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="GoodsInLine",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "outcome",
                    models.CharField(
                        choices=[
                            ("good", "good"),
                            ("held", "held"),
                            ("refused", "refused"),
                            ("short", "short"),
                            ("over", "over"),
                        ],
                        max_length=8,
                    ),
                ),
                ("quantity", jobs.kernel.fields.BaseUnitField()),
                ("note", models.CharField(blank=True, max_length=200)),
                (
                    "goods_in",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="lines",
                        to="stock.goodsin",
                    ),
                ),
                (
                    "lot",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="goods_in_lines",
                        to="stock.lot",
                    ),
                ),
                (
                    "order_line",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="outcomes",
                        to="stock.orderline",
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("outcome__in", ["good", "held", "refused", "short", "over"])
                        ),
                        name="stock_goodsinline_outcome",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("quantity__gt", 0)), name="stock_goodsinline_some"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("lot__isnull", False), ("outcome__in", ["good", "held", "over"])
                            ),
                            models.Q(("lot", None), ("outcome__in", ["refused", "short"])),
                            _connector="OR",
                        ),
                        name="stock_goodsinline_lot_if_taken",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Place",
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
                            ("bay", "bay"),
                            ("van", "van"),
                            ("site", "site"),
                            ("laid", "laid"),
                            ("supplier", "supplier"),
                            ("waste", "waste"),
                            ("adjustment", "adjustment"),
                        ],
                        max_length=10,
                    ),
                ),
                ("name", models.CharField(max_length=60)),
                (
                    "near",
                    models.PositiveSmallIntegerField(
                        default=50, verbose_name="picked first when near"
                    ),
                ),
                ("archived_at", models.DateTimeField(blank=True, null=True)),
                (
                    "job",
                    models.OneToOneField(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="jobs.job",
                    ),
                ),
            ],
            options={
                "ordering": ["kind", "near", "name"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "kind__in",
                                ["bay", "van", "site", "laid", "supplier", "waste", "adjustment"],
                            )
                        ),
                        name="stock_place_kind",
                    ),
                    models.UniqueConstraint(fields=("kind", "name"), name="stock_place_name"),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("kind", "site"), ("job__isnull", False)),
                            models.Q(models.Q(("kind", "site"), _negated=True), ("job", None)),
                            _connector="OR",
                        ),
                        name="stock_place_site_is_a_jobs",
                    ),
                ],
            },
        ),
        migrations.AddField(
            model_name="excursion",
            name="place",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="+", to="stock.place"
            ),
        ),
        migrations.CreateModel(
            name="Balance",
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
                        related_name="balances",
                        to="stock.lot",
                    ),
                ),
                (
                    "place",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="balances",
                        to="stock.place",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("quantity__gte", 0)), name="stock_balance_not_negative"
                    ),
                    models.UniqueConstraint(fields=("lot", "place"), name="stock_balance_once"),
                ],
            },
        ),
        migrations.CreateModel(
            name="Posting",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(unique=True)),
                ("digest", models.CharField(max_length=64, verbose_name="hash of the inputs")),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("receive", "goods in"),
                            ("issue", "issued to site"),
                            ("return", "back from site"),
                            ("lay", "laid"),
                            ("waste", "waste"),
                            ("transfer", "moved"),
                            ("count", "count"),
                        ],
                        max_length=8,
                    ),
                ),
                ("day", models.DateField()),
                ("at", models.DateTimeField()),
                ("reason", models.CharField(blank=True, max_length=200)),
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
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="jobs.job",
                    ),
                ),
                (
                    "reverses",
                    models.OneToOneField(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="reversed_by",
                        to="stock.posting",
                    ),
                ),
            ],
            options={
                "ordering": ["-at", "-pk"],
                "indexes": [models.Index(fields=["job", "kind"], name="stock_posting_job")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "kind__in",
                                ["receive", "issue", "return", "lay", "waste", "transfer", "count"],
                            )
                        ),
                        name="stock_posting_kind",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Movement",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("quantity", jobs.kernel.fields.BaseUnitField()),
                ("cost", jobs.kernel.fields.PenceField(null=True)),
                (
                    "lot",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="movements",
                        to="stock.lot",
                    ),
                ),
                (
                    "from_place",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="movements_out",
                        to="stock.place",
                    ),
                ),
                (
                    "to_place",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="movements_in",
                        to="stock.place",
                    ),
                ),
                (
                    "posting",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="movements",
                        to="stock.posting",
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("quantity__gt", 0)), name="stock_movement_some"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("from_place", models.F("to_place")), _negated=True),
                        name="stock_movement_goes_somewhere",
                    ),
                ],
            },
        ),
        migrations.AddField(
            model_name="mix",
            name="posting",
            field=models.OneToOneField(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="mix",
                to="stock.posting",
            ),
        ),
        migrations.CreateModel(
            name="ReadingFile",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, unique=True)),
                ("name", models.CharField(max_length=120)),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("looked_at", "looked at"),
                            ("taken", "taken"),
                            ("dropped", "dropped"),
                        ],
                        default="looked_at",
                        max_length=9,
                    ),
                ),
                (
                    "rows",
                    models.JSONField(
                        default=list, help_text="[instant, °C, % or null]; empty once taken"
                    ),
                ),
                ("bad", models.JSONField(default=list, help_text="[line, sentence]")),
                ("repeats", models.PositiveIntegerField(default=0)),
                ("looked_at", models.DateTimeField()),
                ("taken_at", models.DateTimeField(null=True)),
                ("new", models.PositiveIntegerField(default=0, verbose_name="readings it brought")),
                (
                    "known",
                    models.PositiveIntegerField(default=0, verbose_name="readings that were there"),
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
                (
                    "place",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="stock.place",
                    ),
                ),
            ],
            options={
                "ordering": ["-looked_at", "-pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("state__in", ["looked_at", "taken", "dropped"])),
                        name="stock_readingfile_state",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Requirement",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("colour_group", models.CharField(blank=True, max_length=40)),
                (
                    "phase",
                    models.CharField(
                        choices=[("prepare", "prepare"), ("lay", "lay")], max_length=8
                    ),
                ),
                ("quantity", jobs.kernel.fields.BaseUnitField()),
                ("issued", jobs.kernel.fields.BaseUnitField(default=0)),
                ("created_at", models.DateTimeField()),
                ("closed_at", models.DateTimeField(blank=True, null=True)),
                (
                    "item",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="requirements",
                        to="stock.item",
                    ),
                ),
                (
                    "job",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="jobs.job"
                    ),
                ),
            ],
            options={
                "ordering": ["job_id", "phase", "item_id"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("phase__in", ["prepare", "lay"])),
                        name="stock_requirement_phase",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("quantity__gte", 0)), name="stock_requirement_quantity"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("issued__gte", 0)), name="stock_requirement_issued"
                    ),
                    models.UniqueConstraint(
                        fields=("job", "item", "colour_group", "phase"),
                        name="stock_requirement_once",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Reservation",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("quantity", jobs.kernel.fields.BaseUnitField()),
                ("made_at", models.DateTimeField()),
                ("picked_at", models.DateTimeField(blank=True, null=True)),
                ("labelled_at", models.DateTimeField(blank=True, null=True)),
                ("pinned", models.BooleanField(default=False)),
                (
                    "lot",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="reservations",
                        to="stock.lot",
                    ),
                ),
                (
                    "made_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "requirement",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="reservations",
                        to="stock.requirement",
                    ),
                ),
            ],
            options={
                "ordering": ["requirement_id", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("quantity__gt", 0)), name="stock_reservation_some"
                    ),
                    models.UniqueConstraint(
                        fields=("requirement", "lot"), name="stock_reservation_once_a_lot"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Sensor",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=60)),
                ("token_hash", models.CharField(max_length=64, unique=True)),
                ("token_end", models.CharField(max_length=4)),
                ("created_at", models.DateTimeField()),
                ("last_sent_at", models.DateTimeField(blank=True, null=True)),
                ("stopped_at", models.DateTimeField(blank=True, null=True)),
                (
                    "place",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="stock.place",
                    ),
                ),
            ],
            options={
                "ordering": ["name", "pk"],
            },
        ),
        migrations.CreateModel(
            name="Reading",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("at", models.DateTimeField()),
                ("celsius", models.DecimalField(decimal_places=2, max_digits=5, verbose_name="°C")),
                (
                    "humidity",
                    models.DecimalField(
                        blank=True,
                        decimal_places=1,
                        max_digits=4,
                        null=True,
                        verbose_name="relative humidity (%)",
                    ),
                ),
                (
                    "source",
                    models.CharField(
                        choices=[
                            ("typed", "typed"),
                            ("file", "logger's file"),
                            ("sensor", "sensor"),
                        ],
                        max_length=6,
                    ),
                ),
                ("recorded_at", models.DateTimeField()),
                ("left_out_reason", models.CharField(blank=True, max_length=200)),
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
                    "place",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="stock.place",
                    ),
                ),
                (
                    "sensor",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="stock.sensor",
                    ),
                ),
            ],
            options={
                "ordering": ["place_id", "at"],
                "constraints": [
                    models.UniqueConstraint(fields=("place", "at"), name="stock_reading_once"),
                    models.CheckConstraint(
                        condition=models.Q(("source__in", ["typed", "file", "sensor"])),
                        name="stock_reading_source",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("celsius__gte", -40), ("celsius__lte", 80)),
                        name="stock_reading_celsius",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("humidity", None),
                            models.Q(("humidity__gte", 0), ("humidity__lte", 100)),
                            _connector="OR",
                        ),
                        name="stock_reading_humidity",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Shortage",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("colour_group", models.CharField(blank=True, max_length=40)),
                ("phase", models.CharField(max_length=8)),
                ("quantity", jobs.kernel.fields.BaseUnitField()),
                ("needed_on", models.DateField()),
                ("order_by", models.DateTimeField(null=True)),
                ("channels", models.JSONField(default=list)),
                ("why", models.CharField(blank=True, max_length=300)),
                ("found_at", models.DateTimeField()),
                ("checked_at", models.DateTimeField()),
                ("closed_at", models.DateTimeField(blank=True, null=True)),
                ("closed_because", models.CharField(blank=True, max_length=60)),
                (
                    "item",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="shortages",
                        to="stock.item",
                    ),
                ),
                (
                    "job",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="jobs.job"
                    ),
                ),
            ],
            options={
                "ordering": ["order_by", "needed_on", "pk"],
                "indexes": [
                    models.Index(fields=["closed_at", "order_by"], name="stock_shortage_open")
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("quantity__gt", 0)), name="stock_shortage_some"
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("closed_at", None)),
                        fields=("job", "item", "colour_group", "phase"),
                        name="stock_shortage_one_open",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Reminder",
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
                            ("digest", "morning digest"),
                            ("new", "new since the digest"),
                            ("last_call", "last call"),
                        ],
                        max_length=9,
                    ),
                ),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("due", "due"),
                            ("sent", "handed to the outbox"),
                            ("dropped", "no longer needed"),
                        ],
                        default="due",
                        max_length=8,
                    ),
                ),
                ("day", models.DateField()),
                ("due_at", models.DateTimeField()),
                ("handed_at", models.DateTimeField(null=True)),
                ("message_uid", models.UUIDField(null=True)),
                ("occasion", models.CharField(max_length=120, unique=True)),
                (
                    "user",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "shortages",
                    models.ManyToManyField(related_name="reminders", to="stock.shortage"),
                ),
            ],
            options={
                "ordering": ["-due_at", "-pk"],
                "indexes": [models.Index(fields=["state", "due_at"], name="stock_reminder_due")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("kind__in", ["digest", "new", "last_call"])),
                        name="stock_reminder_kind",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("state__in", ["due", "sent", "dropped"])),
                        name="stock_reminder_state",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Suggestion",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("colour_group", models.CharField(blank=True, max_length=40)),
                ("quantity", jobs.kernel.fields.BaseUnitField()),
                ("packs", models.PositiveIntegerField()),
                ("needed_on", models.DateField(null=True)),
                ("order_by", models.DateTimeField(null=True)),
                ("why", models.CharField(max_length=300)),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("open", "to be ordered"),
                            ("drafted", "in a draft order"),
                            ("dropped", "set aside"),
                            ("no_way", "cannot be met"),
                        ],
                        default="open",
                        max_length=8,
                    ),
                ),
                (
                    "channel",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="suggestions",
                        to="stock.channel",
                    ),
                ),
                (
                    "item",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="suggestions",
                        to="stock.item",
                    ),
                ),
                (
                    "job",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="jobs.job",
                    ),
                ),
                (
                    "run",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="suggestions",
                        to="stock.reorderrun",
                    ),
                ),
                (
                    "supplier",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="suggestions",
                        to="stock.supplier",
                    ),
                ),
            ],
            options={
                "ordering": ["order_by", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("state__in", ["open", "drafted", "dropped", "no_way"])),
                        name="stock_suggestion_state",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("packs__gt", 0)), name="stock_suggestion_packs"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("channel", None), ("state", "no_way"), ("supplier", None)),
                            models.Q(
                                models.Q(("state", "no_way"), _negated=True),
                                ("channel__isnull", False),
                                ("supplier__isnull", False),
                            ),
                            _connector="OR",
                        ),
                        name="stock_suggestion_supplier",
                    ),
                ],
            },
        ),
        migrations.AddField(
            model_name="channel",
            name="supplier",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="channels",
                to="stock.supplier",
            ),
        ),
        migrations.CreateModel(
            name="SupplierClosedDay",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "calendar",
                    models.CharField(
                        choices=[
                            ("works", "they do not work"),
                            ("delivers", "they do not deliver"),
                        ],
                        max_length=8,
                    ),
                ),
                ("day", models.DateField()),
                ("reason", models.CharField(max_length=60)),
                (
                    "supplier",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="closed_days",
                        to="stock.supplier",
                    ),
                ),
            ],
            options={
                "ordering": ["day"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("calendar__in", ["works", "delivers"])),
                        name="stock_supplierclosedday_calendar",
                    ),
                    models.UniqueConstraint(
                        fields=("supplier", "calendar", "day"), name="stock_supplierclosedday_once"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="SupplierPrice",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("valid_from", models.DateField()),
                ("from_packs", models.PositiveIntegerField(default=1)),
                (
                    "pack_price",
                    models.DecimalField(
                        decimal_places=4, max_digits=10, verbose_name="price of a pack (£)"
                    ),
                ),
                ("supplier_code", models.CharField(blank=True, max_length=30)),
                (
                    "item",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="prices",
                        to="stock.item",
                    ),
                ),
                (
                    "supplier",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="prices",
                        to="stock.supplier",
                    ),
                ),
            ],
            options={
                "ordering": ["item_id", "supplier_id", "-valid_from", "from_packs"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("from_packs__gt", 0)),
                        name="stock_supplierprice_from_packs",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("pack_price__gte", Decimal("0"))),
                        name="stock_supplierprice_price",
                    ),
                    models.UniqueConstraint(
                        fields=("supplier", "item", "valid_from", "from_packs"),
                        name="stock_supplierprice_once",
                    ),
                ],
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
                (
                    "gap_hours",
                    models.PositiveSmallIntegerField(
                        default=6, verbose_name="a gap is longer than"
                    ),
                ),
                ("dirty_from", models.DateTimeField(null=True)),
                ("checked_at", models.DateTimeField(null=True)),
                (
                    "place",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="stock.place",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("gap_hours__gt", 0)), name="stock_watch_gap"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Cutoff",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("weekday", models.PositiveSmallIntegerField(help_text="Monday is 0")),
                ("wall_time", models.TimeField()),
                (
                    "channel",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="cutoffs",
                        to="stock.channel",
                    ),
                ),
            ],
            options={
                "ordering": ["weekday"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("weekday__lte", 6)), name="stock_cutoff_weekday"
                    ),
                    models.UniqueConstraint(
                        fields=("channel", "weekday"), name="stock_cutoff_once"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="BlendComponent",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "bags",
                    models.DecimalField(
                        decimal_places=2, max_digits=5, verbose_name="bags in a mix"
                    ),
                ),
                (
                    "blend",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="components",
                        to="stock.blend",
                    ),
                ),
                (
                    "item",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="in_blends",
                        to="stock.item",
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("bags__gt", 0)), name="stock_blendcomponent_bags"
                    ),
                    models.UniqueConstraint(
                        fields=("blend", "item"), name="stock_blendcomponent_once"
                    ),
                ],
            },
        ),
        migrations.AddConstraint(
            model_name="excursion",
            constraint=models.UniqueConstraint(
                fields=("item", "place", "side", "started_at"), name="stock_excursion_once"
            ),
        ),
        migrations.AddConstraint(
            model_name="channel",
            constraint=models.UniqueConstraint(
                fields=("supplier", "kind"), name="stock_channel_once"
            ),
        ),
    ]
