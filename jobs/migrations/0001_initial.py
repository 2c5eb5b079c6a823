import django.db.models.deletion
import django.db.models.functions.text
import jobs.kernel.fields
import uuid
from decimal import Decimal
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("auth", "0012_alter_user_first_name_max_length"),
    ]

    operations = [
        migrations.CreateModel(
            name="ColourGroup",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=40)),
            ],
            options={
                "ordering": ["pk"],
            },
        ),
        migrations.CreateModel(
            name="Crew",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=40, unique=True)),
                ("archived_at", models.DateTimeField(blank=True, null=True)),
                ("version", models.PositiveIntegerField(default=1)),
            ],
            options={
                "ordering": ["name"],
            },
        ),
        migrations.CreateModel(
            name="PostingKey",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(unique=True)),
                ("kind", models.CharField(max_length=60)),
                ("digest", models.CharField(max_length=64)),
                ("result", models.BigIntegerField(null=True)),
                ("at", models.DateTimeField()),
            ],
        ),
        migrations.CreateModel(
            name="User",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("password", models.CharField(max_length=128, verbose_name="password")),
                (
                    "last_login",
                    models.DateTimeField(blank=True, null=True, verbose_name="last login"),
                ),
                (
                    "is_superuser",
                    models.BooleanField(
                        default=False,
                        help_text="Designates that this user has all permissions without explicitly assigning them.",
                        verbose_name="superuser status",
                    ),
                ),
                ("email", models.EmailField(max_length=254)),
                ("name", models.CharField(max_length=80)),
                ("phone", models.CharField(blank=True, max_length=30)),
                ("is_active", models.BooleanField(default=True)),
                ("joined_at", models.DateTimeField(auto_now_add=True)),
                (
                    "groups",
                    models.ManyToManyField(
                        blank=True,
                        help_text="The groups this user belongs to. A user will get all permissions granted to each of their groups.",
                        related_name="user_set",
                        related_query_name="user",
                        to="auth.group",
                        verbose_name="groups",
                    ),
                ),
                (
                    "user_permissions",
                    models.ManyToManyField(
                        blank=True,
                        help_text="Specific permissions for this user.",
                        related_name="user_set",
                        related_query_name="user",
                        to="auth.permission",
                        verbose_name="user permissions",
                    ),
                ),
            ],
            options={
                "ordering": ["name", "pk"],
                "permissions": [
                    ("view_work", "see customers, sites and jobs"),
                    ("manage_customers", "add and change customers and sites"),
                    ("manage_jobs", "open jobs and move them on"),
                    ("record_survey", "record surveys and measurements"),
                    ("view_takeoff", "see take-offs and their workings"),
                    ("write_quote", "write quotes"),
                    ("send_quote", "send quotes"),
                    ("see_margin", "see cost, overhead and margin"),
                    ("manage_prices", "change the price book"),
                    ("record_acceptance", "record an acceptance on paper"),
                    ("see_billing", "see requests for payment and invoices"),
                    ("record_payment", "record money received"),
                    ("view_yard", "see the yard's stock"),
                    ("move_stock", "move, pick, issue and return stock"),
                    ("release_lot", "release or hold a lot"),
                    ("approve_count", "approve a stock count"),
                    ("manage_catalogue", "change items and blends"),
                    ("manage_suppliers", "change suppliers, their cut-offs and prices"),
                    ("place_order", "draft and place orders"),
                    ("receive_goods", "receive goods"),
                    ("reserve_stock", "reserve stock for jobs"),
                    ("book_crews", "book crews and plant"),
                    ("override_check", "override a booking check"),
                    ("manage_people", "change people, crews and leave"),
                    ("log_lay_day", "keep the day sheet and log mixes"),
                    ("enter_hours", "enter hours"),
                    ("see_costing", "see job costing"),
                    ("export_costing", "export job costing"),
                    ("manage_team", "invite people and give roles"),
                    ("view_audit", "see who did what"),
                    ("handle_personal_data", "give out and erase personal data"),
                    ("see_messages", "see messages sent and failed, and send them again"),
                ],
                "constraints": [
                    models.UniqueConstraint(
                        django.db.models.functions.text.Lower("email"), name="jobs_user_email"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("email", django.db.models.functions.text.Lower("email"))
                        ),
                        name="jobs_user_email_small",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Attachment",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, unique=True)),
                ("digest", models.CharField(max_length=64)),
                ("name", models.CharField(max_length=120)),
                ("content_type", models.CharField(max_length=60)),
                ("size", models.PositiveBigIntegerField()),
                ("caption", models.CharField(blank=True, max_length=200)),
                ("about_type", models.CharField(max_length=60)),
                ("about_id", models.BigIntegerField()),
                (
                    "permission",
                    models.CharField(help_text="the verb that may see it", max_length=60),
                ),
                ("at", models.DateTimeField()),
                ("removed_at", models.DateTimeField(null=True)),
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
                "indexes": [
                    models.Index(fields=["about_type", "about_id"], name="jobs_attachment_about")
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("size__gt", 0)), name="jobs_attachment_not_empty"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Booking",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, unique=True)),
                (
                    "phase",
                    models.CharField(
                        choices=[
                            ("prepare", "prepare"),
                            ("lay", "lay"),
                            ("finish", "finish"),
                            ("snag", "snag"),
                        ],
                        max_length=8,
                    ),
                ),
                ("note", models.CharField(blank=True, max_length=300)),
                ("told_customer_at", models.DateTimeField(blank=True, null=True)),
                ("created_at", models.DateTimeField()),
                ("cancelled_at", models.DateTimeField(blank=True, null=True)),
                ("first_day", models.DateField(blank=True, null=True)),
                ("last_day", models.DateField(blank=True, null=True)),
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
            ],
            options={
                "ordering": ["first_day", "pk"],
                "indexes": [
                    models.Index(fields=["first_day", "last_day"], name="jobs_booking_days")
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("phase__in", ["prepare", "lay", "finish", "snag"])),
                        name="jobs_booking_phase",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("first_day", None), ("last_day", None)),
                            ("first_day__lte", models.F("last_day")),
                            _connector="OR",
                        ),
                        name="jobs_booking_days_in_order",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="BookingFinding",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("code", models.CharField(max_length=40)),
                (
                    "level",
                    models.CharField(
                        choices=[("stop", "stop"), ("look", "look"), ("note", "note")], max_length=5
                    ),
                ),
                ("sentence", models.CharField(max_length=300)),
                ("remedy", models.CharField(blank=True, max_length=300)),
                ("facts", models.CharField(max_length=64, verbose_name="hash of the facts")),
                ("at", models.DateTimeField()),
                ("override_reason", models.CharField(blank=True, max_length=200)),
                ("overridden_at", models.DateTimeField(blank=True, null=True)),
                (
                    "booking",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="findings",
                        to="jobs.booking",
                    ),
                ),
                (
                    "overridden_by",
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
                "ordering": ["level", "code", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("level__in", ["stop", "look", "note"])),
                        name="jobs_bookingfinding_level",
                    ),
                    models.UniqueConstraint(
                        fields=("booking", "code", "facts"), name="jobs_bookingfinding_once"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="ClosedDay",
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
                        choices=[("firm", "we do not work"), ("yard", "the yard cannot receive")],
                        max_length=4,
                    ),
                ),
                ("day", models.DateField()),
                ("reason", models.CharField(max_length=60)),
            ],
            options={
                "ordering": ["day"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("calendar__in", ["firm", "yard"])),
                        name="jobs_closedday_calendar",
                    ),
                    models.UniqueConstraint(fields=("calendar", "day"), name="jobs_closedday_once"),
                ],
            },
        ),
        migrations.CreateModel(
            name="Customer",
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
                            ("household", "household"),
                            ("builder", "builder"),
                            ("business", "business"),
                            ("public", "public body"),
                        ],
                        default="household",
                        max_length=10,
                    ),
                ),
                ("name", models.CharField(max_length=120)),
                ("email", models.EmailField(blank=True, max_length=254)),
                ("phone", models.CharField(blank=True, max_length=30)),
                ("address", models.TextField(blank=True, max_length=400)),
                ("postcode", models.CharField(blank=True, max_length=10)),
                (
                    "vat_number",
                    models.CharField(blank=True, max_length=20, verbose_name="VAT number"),
                ),
                (
                    "reports_under_cis",
                    models.BooleanField(default=False, verbose_name="reports payments under CIS"),
                ),
                (
                    "end_user_confirmed",
                    models.BooleanField(
                        default=False, verbose_name="end user, confirmed in writing"
                    ),
                ),
                (
                    "wants_order_number",
                    models.BooleanField(
                        default=False, verbose_name="wants their order number on papers"
                    ),
                ),
                (
                    "terms_days",
                    models.PositiveSmallIntegerField(default=14, verbose_name="days to pay"),
                ),
                ("notes", models.TextField(blank=True, max_length=2000)),
                ("created_at", models.DateTimeField()),
                ("archived_at", models.DateTimeField(blank=True, null=True)),
                ("erased_at", models.DateTimeField(blank=True, null=True)),
                ("version", models.PositiveIntegerField(default=1)),
            ],
            options={
                "ordering": ["name", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("kind__in", ["household", "builder", "business", "public"])
                        ),
                        name="jobs_customer_kind",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Contact",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=80)),
                ("role", models.CharField(blank=True, max_length=60)),
                ("email", models.EmailField(blank=True, max_length=254)),
                ("phone", models.CharField(blank=True, max_length=30)),
                ("archived_at", models.DateTimeField(blank=True, null=True)),
                (
                    "customer",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="contacts",
                        to="jobs.customer",
                    ),
                ),
            ],
            options={
                "ordering": ["name", "pk"],
            },
        ),
        migrations.CreateModel(
            name="Event",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("at", models.DateTimeField()),
                ("verb", models.CharField(max_length=60)),
                ("subject_type", models.CharField(max_length=60)),
                ("subject_id", models.BigIntegerField()),
                ("subject_text", models.CharField(blank=True, max_length=200)),
                ("before", models.JSONField(default=dict)),
                ("after", models.JSONField(default=dict)),
                ("reason", models.CharField(blank=True, max_length=300)),
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
                "ordering": ["-at", "-pk"],
                "indexes": [
                    models.Index(fields=["subject_type", "subject_id"], name="jobs_event_subject"),
                    models.Index(fields=["-at"], name="jobs_event_at"),
                ],
            },
        ),
        migrations.CreateModel(
            name="Invitation",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("email", models.EmailField(max_length=254)),
                ("name", models.CharField(max_length=80)),
                ("roles", models.JSONField(default=list)),
                ("token_hash", models.CharField(max_length=64, unique=True)),
                ("created_at", models.DateTimeField()),
                ("expires_at", models.DateTimeField()),
                ("accepted_at", models.DateTimeField(null=True)),
                ("withdrawn_at", models.DateTimeField(null=True)),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["-created_at"],
                "constraints": [
                    models.UniqueConstraint(
                        django.db.models.functions.text.Lower("email"),
                        condition=models.Q(("accepted_at", None), ("withdrawn_at", None)),
                        name="jobs_invitation_one_open",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Job",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("reference", models.CharField(max_length=20, unique=True)),
                ("title", models.CharField(max_length=120)),
                (
                    "stage",
                    models.CharField(
                        choices=[
                            ("enquiry", "enquiry"),
                            ("surveyed", "surveyed"),
                            ("quoted", "quoted"),
                            ("won", "won"),
                            ("booked", "booked"),
                            ("on_site", "on site"),
                            ("snagging", "snagging"),
                            ("complete", "complete"),
                            ("in_guarantee", "in guarantee"),
                            ("lost", "lost"),
                            ("cancelled", "cancelled"),
                        ],
                        default="enquiry",
                        max_length=12,
                    ),
                ),
                (
                    "source",
                    models.CharField(
                        choices=[
                            ("telephone", "telephone"),
                            ("email", "e-mail"),
                            ("recommended", "recommended by somebody"),
                            ("board", "site board or van"),
                            ("website", "our website"),
                            ("repeat", "customer before"),
                            ("other", "other"),
                        ],
                        default="telephone",
                        max_length=12,
                    ),
                ),
                ("enquiry", models.TextField(blank=True, max_length=2000)),
                ("customer_order_number", models.CharField(blank=True, max_length=40)),
                (
                    "lost_reason",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("price", "price"),
                            ("other_firm", "went to another firm"),
                            ("timing", "we could not come in time"),
                            ("other_surface", "chose another surface"),
                            ("put_off", "put off"),
                            ("no_answer", "no answer"),
                            ("other", "other"),
                        ],
                        max_length=14,
                    ),
                ),
                ("opened_at", models.DateTimeField()),
                ("stage_since", models.DateTimeField()),
                ("version", models.PositiveIntegerField(default=1)),
                (
                    "customer",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="jobs",
                        to="jobs.customer",
                    ),
                ),
                (
                    "opened_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["-opened_at", "-pk"],
                "indexes": [
                    models.Index(fields=["stage", "-opened_at"], name="jobs_job_stage_opened")
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "stage__in",
                                [
                                    "enquiry",
                                    "surveyed",
                                    "quoted",
                                    "won",
                                    "booked",
                                    "on_site",
                                    "snagging",
                                    "complete",
                                    "in_guarantee",
                                    "lost",
                                    "cancelled",
                                ],
                            )
                        ),
                        name="jobs_job_stage",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "source__in",
                                [
                                    "telephone",
                                    "email",
                                    "recommended",
                                    "board",
                                    "website",
                                    "repeat",
                                    "other",
                                ],
                            )
                        ),
                        name="jobs_job_source",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("stage", "lost"), models.Q(("lost_reason", ""), _negated=True)
                            ),
                            models.Q(
                                models.Q(("stage", "lost"), _negated=True), ("lost_reason", "")
                            ),
                            _connector="OR",
                        ),
                        name="jobs_job_lost_says_why",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="CostEntry",
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
                        choices=[("budget", "budget"), ("actual", "actual")], max_length=6
                    ),
                ),
                (
                    "category",
                    models.CharField(
                        choices=[
                            ("materials", "materials"),
                            ("labour", "labour"),
                            ("plant", "plant and hire"),
                            ("subcontract", "subcontract"),
                            ("travel", "travel"),
                            ("other", "other"),
                        ],
                        max_length=11,
                    ),
                ),
                ("what", models.CharField(max_length=200)),
                ("quantity", models.DecimalField(decimal_places=3, max_digits=14, null=True)),
                ("unit", models.CharField(blank=True, max_length=10)),
                ("amount", jobs.kernel.fields.PenceField()),
                ("day", models.DateField()),
                ("at", models.DateTimeField()),
                ("source", models.CharField(max_length=40)),
                ("source_id", models.BigIntegerField()),
                ("key", models.CharField(max_length=100, unique=True)),
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
                    "reverses",
                    models.OneToOneField(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="reversed_by",
                        to="jobs.costentry",
                    ),
                ),
                (
                    "job",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="cost_entries",
                        to="jobs.job",
                    ),
                ),
            ],
            options={
                "ordering": ["day", "pk"],
                "indexes": [
                    models.Index(fields=["job", "kind", "category"], name="jobs_costentry_job"),
                    models.Index(fields=["day"], name="jobs_costentry_day"),
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("kind__in", ["budget", "actual"])),
                        name="jobs_costentry_kind",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "category__in",
                                ["materials", "labour", "plant", "subcontract", "travel", "other"],
                            )
                        ),
                        name="jobs_costentry_category",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("quantity", None), ("unit", "")),
                            models.Q(
                                ("quantity__isnull", False), models.Q(("unit", ""), _negated=True)
                            ),
                            _connector="OR",
                        ),
                        name="jobs_costentry_quantity_has_unit",
                    ),
                ],
            },
        ),
        migrations.AddField(
            model_name="booking",
            name="job",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="bookings", to="jobs.job"
            ),
        ),
        migrations.CreateModel(
            name="Message",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("occasion", models.CharField(max_length=120, unique=True)),
                (
                    "audience",
                    models.CharField(
                        choices=[
                            ("staff", "our own people"),
                            ("customer", "a customer"),
                            ("supplier", "a supplier"),
                        ],
                        max_length=10,
                    ),
                ),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("due", "to be sent"),
                            ("sending", "being sent"),
                            ("sent", "sent"),
                            ("failed", "not sent"),
                            ("dropped", "withdrawn"),
                        ],
                        default="due",
                        max_length=10,
                    ),
                ),
                ("to", models.EmailField(max_length=254)),
                ("subject", models.CharField(max_length=200)),
                ("body", models.TextField()),
                (
                    "attachments",
                    models.JSONField(default=list, help_text="uids of attachments, in order"),
                ),
                ("about_type", models.CharField(blank=True, max_length=60)),
                ("about_id", models.BigIntegerField(null=True)),
                ("due_at", models.DateTimeField()),
                ("created_at", models.DateTimeField()),
                ("claimed_at", models.DateTimeField(null=True)),
                ("sent_at", models.DateTimeField(null=True)),
                ("tries", models.PositiveSmallIntegerField(default=0)),
                ("last_error", models.CharField(blank=True, max_length=300)),
            ],
            options={
                "ordering": ["-created_at", "-pk"],
                "indexes": [
                    models.Index(fields=["state", "due_at"], name="jobs_message_due"),
                    models.Index(fields=["about_type", "about_id"], name="jobs_message_about"),
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("audience__in", ["staff", "customer", "supplier"])),
                        name="jobs_message_audience",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("state__in", ["due", "sending", "sent", "failed", "dropped"])
                        ),
                        name="jobs_message_state",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="NumberSeries",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=40, unique=True)),
                ("last", models.PositiveIntegerField(default=0)),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("last__gte", 0)), name="jobs_numberseries_not_negative"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="PaymentRequest",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("reference", models.CharField(max_length=20, unique=True)),
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
                ("amount", jobs.kernel.fields.PenceField(verbose_name="amount with VAT")),
                ("due_on", models.DateField()),
                ("issued_at", models.DateTimeField()),
                ("withdrawn_at", models.DateTimeField(blank=True, null=True)),
                ("received", jobs.kernel.fields.PenceField(default=0)),
                (
                    "job",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="payment_requests",
                        to="jobs.job",
                    ),
                ),
            ],
            options={
                "ordering": ["issued_at", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("kind__in", ["deposit", "stage", "final"])),
                        name="jobs_paymentrequest_kind",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("amount__gt", 0)), name="jobs_paymentrequest_amount"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("received__gte", 0)),
                        name="jobs_paymentrequest_received",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("kind", "deposit"), ("withdrawn_at", None)),
                        fields=("job",),
                        name="jobs_paymentrequest_one_deposit",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Person",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=80)),
                ("is_lead", models.BooleanField(default=False, verbose_name="leads the crew")),
                ("phone", models.CharField(blank=True, max_length=30)),
                (
                    "cards",
                    models.CharField(blank=True, max_length=200, verbose_name="cards and tickets"),
                ),
                ("archived_at", models.DateTimeField(blank=True, null=True)),
                ("version", models.PositiveIntegerField(default=1)),
                (
                    "crew",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="people",
                        to="jobs.crew",
                    ),
                ),
                (
                    "user",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="person",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["name", "pk"],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("is_lead", True)),
                        fields=("crew",),
                        name="jobs_person_one_lead",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="PayRate",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("valid_from", models.DateField()),
                (
                    "hourly",
                    models.DecimalField(
                        decimal_places=4, max_digits=10, verbose_name="cost an hour (£)"
                    ),
                ),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="pay_rates",
                        to="jobs.person",
                    ),
                ),
            ],
            options={
                "ordering": ["-valid_from"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("person", "valid_from"), name="jobs_payrate_from"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("hourly__gte", Decimal("0"))),
                        name="jobs_payrate_hourly",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Leave",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("first", models.DateField()),
                ("last", models.DateField()),
                ("reason", models.CharField(default="holiday", max_length=60)),
                ("cancelled_at", models.DateTimeField(blank=True, null=True)),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="leaves",
                        to="jobs.person",
                    ),
                ),
            ],
            options={
                "ordering": ["-first"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("first__lte", models.F("last"))),
                        name="jobs_leave_in_order",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Hours",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, unique=True)),
                ("day", models.DateField()),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("work", "working"),
                            ("standing", "standing"),
                            ("travel", "travelling"),
                        ],
                        default="work",
                        max_length=8,
                    ),
                ),
                ("minutes", models.PositiveIntegerField()),
                (
                    "hourly",
                    models.DecimalField(decimal_places=4, default=Decimal("0"), max_digits=10),
                ),
                ("note", models.CharField(blank=True, max_length=200)),
                ("entered_at", models.DateTimeField()),
                ("withdrawn_at", models.DateTimeField(blank=True, null=True)),
                (
                    "entered_by",
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
                        related_name="hours",
                        to="jobs.job",
                    ),
                ),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="hours",
                        to="jobs.person",
                    ),
                ),
            ],
            options={
                "ordering": ["-day", "person_id", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("kind__in", ["work", "standing", "travel"])),
                        name="jobs_hours_kind",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("minutes__gt", 0)), name="jobs_hours_some"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("minutes__lte", 1440)), name="jobs_hours_one_day"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Pour",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=40)),
                (
                    "colour_group",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="pours",
                        to="jobs.colourgroup",
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
            },
        ),
        migrations.CreateModel(
            name="Area",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, unique=True)),
                ("position", models.PositiveSmallIntegerField(default=0)),
                ("name", models.CharField(max_length=60)),
                (
                    "use",
                    models.CharField(
                        choices=[
                            ("pedestrian", "people on foot"),
                            ("vehicles", "cars and vans"),
                            ("heavy", "heavy vehicles"),
                        ],
                        max_length=10,
                    ),
                ),
                (
                    "depth_mm",
                    models.DecimalField(decimal_places=1, max_digits=4, verbose_name="depth (mm)"),
                ),
                ("outdoors", models.BooleanField(default=True)),
                (
                    "edging",
                    models.BooleanField(default=True, verbose_name="edging to its open edge"),
                ),
                (
                    "pour",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="areas",
                        to="jobs.pour",
                    ),
                ),
            ],
            options={
                "ordering": ["position", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("use__in", ["pedestrian", "vehicles", "heavy"])),
                        name="jobs_area_use",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("depth_mm__gt", 0)), name="jobs_area_depth"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Receipt",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("amount", jobs.kernel.fields.PenceField()),
                ("received_on", models.DateField()),
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
                    "request",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="receipts",
                        to="jobs.paymentrequest",
                    ),
                ),
                (
                    "reverses",
                    models.OneToOneField(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="reversed_by",
                        to="jobs.receipt",
                    ),
                ),
            ],
            options={
                "ordering": ["received_on", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("paid_by__in", ["transfer", "card", "cheque", "cash"])),
                        name="jobs_receipt_paid_by",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Resource",
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
                            ("crew", "crew"),
                            ("person", "person"),
                            ("vehicle", "vehicle"),
                            ("mixer", "mixer"),
                        ],
                        max_length=8,
                    ),
                ),
                ("name", models.CharField(max_length=60)),
                (
                    "payload_kg",
                    models.PositiveIntegerField(
                        blank=True, null=True, verbose_name="usable payload (kg)"
                    ),
                ),
                ("archived_at", models.DateTimeField(blank=True, null=True)),
                (
                    "crew",
                    models.OneToOneField(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="resource",
                        to="jobs.crew",
                    ),
                ),
                (
                    "person",
                    models.OneToOneField(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="resource",
                        to="jobs.person",
                    ),
                ),
            ],
            options={
                "ordering": ["kind", "name"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("kind__in", ["crew", "person", "vehicle", "mixer"])),
                        name="jobs_resource_kind",
                    ),
                    models.UniqueConstraint(fields=("kind", "name"), name="jobs_resource_name"),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("crew__isnull", False), ("kind", "crew"), ("person", None)),
                            models.Q(("crew", None), ("kind", "person"), ("person__isnull", False)),
                            models.Q(
                                ("crew", None), ("kind__in", ["vehicle", "mixer"]), ("person", None)
                            ),
                            _connector="OR",
                        ),
                        name="jobs_resource_is_what_it_says",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Shape",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("position", models.PositiveSmallIntegerField(default=0)),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("rectangle", "rectangle"),
                            ("triangle", "triangle by three sides"),
                            ("trapezium", "trapezium"),
                            ("circle", "circle"),
                            ("sector", "sector"),
                            ("ring", "ring"),
                            ("outline", "outline by corners"),
                            ("offsets", "offsets from a base line"),
                            ("sides_and_diagonals", "sides and diagonals"),
                        ],
                        max_length=20,
                    ),
                ),
                ("measurements", models.JSONField(default=dict)),
                ("deduct", models.BooleanField(default=False, verbose_name="take away")),
                (
                    "shared",
                    models.CharField(
                        blank=True, max_length=30, verbose_name="length shared with earlier shapes"
                    ),
                ),
                ("note", models.CharField(blank=True, max_length=60)),
                (
                    "at_x_m",
                    models.DecimalField(blank=True, decimal_places=2, max_digits=6, null=True),
                ),
                (
                    "at_y_m",
                    models.DecimalField(blank=True, decimal_places=2, max_digits=6, null=True),
                ),
                (
                    "area",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="shapes",
                        to="jobs.area",
                    ),
                ),
            ],
            options={
                "ordering": ["position", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "kind__in",
                                [
                                    "rectangle",
                                    "triangle",
                                    "trapezium",
                                    "circle",
                                    "sector",
                                    "ring",
                                    "outline",
                                    "offsets",
                                    "sides_and_diagonals",
                                ],
                            )
                        ),
                        name="jobs_shape_kind",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("at_x_m", None), ("at_y_m", None)),
                            models.Q(("at_x_m__isnull", False), ("at_y_m__isnull", False)),
                            _connector="OR",
                        ),
                        name="jobs_shape_place_both_or_neither",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Site",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=120)),
                ("address", models.TextField(max_length=400)),
                ("postcode", models.CharField(blank=True, max_length=10)),
                (
                    "wagon_access",
                    models.CharField(
                        choices=[("yes", "yes"), ("no", "no"), ("unknown", "not asked yet")],
                        default="unknown",
                        max_length=10,
                        verbose_name="a wagon can reach it",
                    ),
                ),
                (
                    "tail_lift",
                    models.CharField(
                        choices=[("yes", "yes"), ("no", "no"), ("unknown", "not asked yet")],
                        default="unknown",
                        max_length=10,
                        verbose_name="room for a tail-lift",
                    ),
                ),
                (
                    "parking_elsewhere",
                    models.CharField(
                        choices=[("yes", "yes"), ("no", "no"), ("unknown", "not asked yet")],
                        default="unknown",
                        max_length=10,
                        verbose_name="cars can stand elsewhere for 24 h",
                    ),
                ),
                (
                    "water",
                    models.CharField(
                        choices=[("yes", "yes"), ("no", "no"), ("unknown", "not asked yet")],
                        default="unknown",
                        max_length=10,
                        verbose_name="water on site",
                    ),
                ),
                (
                    "power",
                    models.CharField(
                        choices=[("yes", "yes"), ("no", "no"), ("unknown", "not asked yet")],
                        default="unknown",
                        max_length=10,
                        verbose_name="power on site",
                    ),
                ),
                (
                    "dry_store",
                    models.CharField(
                        choices=[("yes", "yes"), ("no", "no"), ("unknown", "not asked yet")],
                        default="unknown",
                        max_length=10,
                        verbose_name="a dry place for bags and kits",
                    ),
                ),
                ("notes", models.TextField(blank=True, max_length=2000)),
                ("created_at", models.DateTimeField()),
                ("archived_at", models.DateTimeField(blank=True, null=True)),
                ("version", models.PositiveIntegerField(default=1)),
                (
                    "customer",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="sites",
                        to="jobs.customer",
                    ),
                ),
            ],
            options={
                "ordering": ["name", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("wagon_access__in", ["yes", "no", "unknown"])),
                        name="jobs_site_wagon_access",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("tail_lift__in", ["yes", "no", "unknown"])),
                        name="jobs_site_tail_lift",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("parking_elsewhere__in", ["yes", "no", "unknown"])),
                        name="jobs_site_parking_elsewhere",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("water__in", ["yes", "no", "unknown"])),
                        name="jobs_site_water",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("power__in", ["yes", "no", "unknown"])),
                        name="jobs_site_power",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("dry_store__in", ["yes", "no", "unknown"])),
                        name="jobs_site_dry_store",
                    ),
                ],
            },
        ),
        migrations.AddField(
            model_name="job",
            name="site",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="jobs", to="jobs.site"
            ),
        ),
        migrations.CreateModel(
            name="Slot",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("day", models.DateField()),
                (
                    "half",
                    models.CharField(
                        choices=[("am", "morning"), ("pm", "afternoon")], max_length=2
                    ),
                ),
                (
                    "booking",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="slots",
                        to="jobs.booking",
                    ),
                ),
                (
                    "leave",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="slots",
                        to="jobs.leave",
                    ),
                ),
                (
                    "resource",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="slots",
                        to="jobs.resource",
                    ),
                ),
            ],
            options={
                "ordering": ["day", "half", "resource_id"],
                "indexes": [models.Index(fields=["day"], name="jobs_slot_day")],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("resource", "day", "half"), name="jobs_slot_one_each"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("half__in", ["am", "pm"])), name="jobs_slot_half"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("booking__isnull", False), ("leave", None)),
                            models.Q(("booking", None), ("leave__isnull", False)),
                            _connector="OR",
                        ),
                        name="jobs_slot_booking_or_leave",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="StageChange",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("before", models.CharField(blank=True, max_length=12)),
                (
                    "after",
                    models.CharField(
                        choices=[
                            ("enquiry", "enquiry"),
                            ("surveyed", "surveyed"),
                            ("quoted", "quoted"),
                            ("won", "won"),
                            ("booked", "booked"),
                            ("on_site", "on site"),
                            ("snagging", "snagging"),
                            ("complete", "complete"),
                            ("in_guarantee", "in guarantee"),
                            ("lost", "lost"),
                            ("cancelled", "cancelled"),
                        ],
                        max_length=12,
                    ),
                ),
                ("at", models.DateTimeField()),
                ("reason", models.CharField(blank=True, max_length=300)),
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
                        related_name="stage_changes",
                        to="jobs.job",
                    ),
                ),
            ],
            options={
                "ordering": ["at", "pk"],
            },
        ),
        migrations.CreateModel(
            name="Survey",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, unique=True)),
                (
                    "kind",
                    models.CharField(
                        choices=[("survey", "survey"), ("check", "check-measure")],
                        default="survey",
                        max_length=8,
                    ),
                ),
                ("visited_at", models.DateTimeField()),
                (
                    "base_kind",
                    models.CharField(
                        choices=[
                            ("tarmac", "tarmac"),
                            ("concrete", "concrete"),
                            ("open_tarmac", "open-graded tarmac"),
                            ("grid", "filled grid"),
                            ("other", "other"),
                        ],
                        max_length=12,
                    ),
                ),
                (
                    "base_condition",
                    models.CharField(
                        choices=[
                            ("sound", "sound"),
                            ("repair", "sound after repair"),
                            ("replace", "to be replaced"),
                            ("unknown", "not judged yet"),
                        ],
                        default="unknown",
                        max_length=10,
                    ),
                ),
                (
                    "base_texture_mm",
                    models.DecimalField(
                        decimal_places=1,
                        default=Decimal("0"),
                        max_digits=4,
                        verbose_name="texture to fill (mm)",
                    ),
                ),
                (
                    "fall",
                    models.CharField(
                        blank=True, max_length=20, verbose_name="fall, as 1:80 or 1.25 %"
                    ),
                ),
                (
                    "damp_course",
                    models.CharField(
                        choices=[("yes", "yes"), ("no", "no"), ("unknown", "not asked yet")],
                        default="unknown",
                        max_length=10,
                        verbose_name="150 mm below the damp course",
                    ),
                ),
                (
                    "airbricks_clear",
                    models.CharField(
                        choices=[("yes", "yes"), ("no", "no"), ("unknown", "not asked yet")],
                        default="unknown",
                        max_length=10,
                        verbose_name="airbricks stay clear",
                    ),
                ),
                (
                    "thresholds_clear",
                    models.CharField(
                        choices=[("yes", "yes"), ("no", "no"), ("unknown", "not asked yet")],
                        default="unknown",
                        max_length=10,
                        verbose_name="thresholds stay clear",
                    ),
                ),
                (
                    "covers",
                    models.CharField(
                        choices=[("yes", "yes"), ("no", "no"), ("unknown", "not asked yet")],
                        default="unknown",
                        max_length=10,
                        verbose_name="covers to recess",
                    ),
                ),
                (
                    "drains",
                    models.CharField(
                        choices=[("yes", "yes"), ("no", "no"), ("unknown", "not asked yet")],
                        default="unknown",
                        max_length=10,
                        verbose_name="drains or channels",
                    ),
                ),
                (
                    "movement_joints",
                    models.CharField(
                        choices=[("yes", "yes"), ("no", "no"), ("unknown", "not asked yet")],
                        default="unknown",
                        max_length=10,
                        verbose_name="movement joints to carry through",
                    ),
                ),
                (
                    "doors_clear",
                    models.CharField(
                        choices=[("yes", "yes"), ("no", "no"), ("unknown", "not asked yet")],
                        default="unknown",
                        max_length=10,
                        verbose_name="doors and gates open over it",
                    ),
                ),
                (
                    "trees",
                    models.CharField(
                        choices=[("yes", "yes"), ("no", "no"), ("unknown", "not asked yet")],
                        default="unknown",
                        max_length=10,
                        verbose_name="trees or roots near",
                    ),
                ),
                (
                    "services_searched",
                    models.CharField(
                        choices=[("yes", "yes"), ("no", "no"), ("unknown", "not asked yet")],
                        default="unknown",
                        max_length=10,
                        verbose_name="buried services searched",
                    ),
                ),
                (
                    "old_tarmac",
                    models.CharField(
                        choices=[("yes", "yes"), ("no", "no"), ("unknown", "not asked yet")],
                        default="unknown",
                        max_length=10,
                        verbose_name="old tarmac to be dug out",
                    ),
                ),
                (
                    "coal_tar_tested",
                    models.CharField(
                        choices=[("yes", "yes"), ("no", "no"), ("unknown", "not asked yet")],
                        default="unknown",
                        max_length=10,
                        verbose_name="old tarmac tested for coal tar",
                    ),
                ),
                (
                    "front_garden",
                    models.CharField(
                        choices=[("yes", "yes"), ("no", "no"), ("unknown", "not asked yet")],
                        default="unknown",
                        max_length=10,
                        verbose_name="front garden, between house and road",
                    ),
                ),
                ("notes", models.TextField(blank=True, max_length=4000)),
                ("finished_at", models.DateTimeField(blank=True, null=True)),
                ("version", models.PositiveIntegerField(default=1)),
                (
                    "job",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="surveys",
                        to="jobs.job",
                    ),
                ),
                (
                    "surveyor",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["-visited_at", "-pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("kind__in", ["survey", "check"])),
                        name="jobs_survey_kind",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "base_kind__in",
                                ["tarmac", "concrete", "open_tarmac", "grid", "other"],
                            )
                        ),
                        name="jobs_survey_base_kind",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("base_condition__in", ["sound", "repair", "replace", "unknown"])
                        ),
                        name="jobs_survey_base_condition",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("base_texture_mm__gte", 0)), name="jobs_survey_texture"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("damp_course__in", ["yes", "no", "unknown"])),
                        name="jobs_survey_damp_course",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("airbricks_clear__in", ["yes", "no", "unknown"])),
                        name="jobs_survey_airbricks_clear",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("thresholds_clear__in", ["yes", "no", "unknown"])),
                        name="jobs_survey_thresholds_clear",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("covers__in", ["yes", "no", "unknown"])),
                        name="jobs_survey_covers",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("drains__in", ["yes", "no", "unknown"])),
                        name="jobs_survey_drains",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("movement_joints__in", ["yes", "no", "unknown"])),
                        name="jobs_survey_movement_joints",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("doors_clear__in", ["yes", "no", "unknown"])),
                        name="jobs_survey_doors_clear",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("trees__in", ["yes", "no", "unknown"])),
                        name="jobs_survey_trees",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("services_searched__in", ["yes", "no", "unknown"])),
                        name="jobs_survey_services_searched",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("old_tarmac__in", ["yes", "no", "unknown"])),
                        name="jobs_survey_old_tarmac",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("coal_tar_tested__in", ["yes", "no", "unknown"])),
                        name="jobs_survey_coal_tar_tested",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("front_garden__in", ["yes", "no", "unknown"])),
                        name="jobs_survey_front_garden",
                    ),
                ],
            },
        ),
        migrations.AddField(
            model_name="pour",
            name="survey",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE, related_name="pours", to="jobs.survey"
            ),
        ),
        migrations.AddField(
            model_name="colourgroup",
            name="survey",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE,
                related_name="colour_groups",
                to="jobs.survey",
            ),
        ),
        migrations.AddField(
            model_name="area",
            name="survey",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE, related_name="areas", to="jobs.survey"
            ),
        ),
        migrations.CreateModel(
            name="TaskRun",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=80)),
                ("started_at", models.DateTimeField()),
                ("finished_at", models.DateTimeField(null=True)),
                ("outcome", models.CharField(blank=True, max_length=300)),
                ("failed", models.BooleanField(default=False)),
            ],
            options={
                "indexes": [
                    models.Index(fields=["name", "-started_at"], name="jobs_taskrun_latest")
                ],
            },
        ),
        migrations.AddConstraint(
            model_name="pour",
            constraint=models.UniqueConstraint(fields=("survey", "name"), name="jobs_pour_name"),
        ),
        migrations.AddConstraint(
            model_name="colourgroup",
            constraint=models.UniqueConstraint(
                fields=("survey", "name"), name="jobs_colourgroup_name"
            ),
        ),
        migrations.AddConstraint(
            model_name="area",
            constraint=models.UniqueConstraint(fields=("survey", "name"), name="jobs_area_name"),
        ),
    ]
