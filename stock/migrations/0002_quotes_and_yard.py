import django.db.models.deletion
import jobs.kernel.fields
import uuid
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("jobs", "0002_quotes_and_yard"),
        ("jobs", "__first__"),
        ("stock", "0001_initial"),
    ]

    operations = [
        migrations.CreateModel(
            name="Claim",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(unique=True)),
                ("reference", models.CharField(max_length=20, unique=True)),
                (
                    "against",
                    models.CharField(
                        choices=[("carrier", "the carrier"), ("supplier", "the supplier")],
                        max_length=8,
                    ),
                ),
                ("what", models.CharField(max_length=500, verbose_name="what is claimed")),
                ("notify_by", models.DateField(verbose_name="they must be told by")),
                ("opened_at", models.DateTimeField()),
                ("notified_at", models.DateTimeField(blank=True, null=True)),
                (
                    "notified_how",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("email", "e-mail"),
                            ("telephone", "telephone"),
                            ("letter", "letter"),
                            ("form", "their claim form"),
                            ("note", "on the delivery note, signed"),
                        ],
                        max_length=9,
                    ),
                ),
                (
                    "notified_words",
                    models.CharField(
                        blank=True, max_length=500, verbose_name="what they were told"
                    ),
                ),
                (
                    "answer",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("accepted", "accepted"),
                            ("partly", "accepted in part"),
                            ("refused", "refused"),
                        ],
                        max_length=8,
                    ),
                ),
                ("answered_on", models.DateField(blank=True, null=True)),
                (
                    "answer_words",
                    models.CharField(blank=True, max_length=500, verbose_name="what they said"),
                ),
                (
                    "credit_expected",
                    jobs.kernel.fields.PenceField(
                        blank=True, null=True, verbose_name="credit expected, without VAT"
                    ),
                ),
                (
                    "credit_received",
                    jobs.kernel.fields.PenceField(
                        default=0, verbose_name="credit received, without VAT"
                    ),
                ),
                (
                    "credit_on",
                    models.DateField(blank=True, null=True, verbose_name="last credit on"),
                ),
                (
                    "credit_reference",
                    models.CharField(blank=True, max_length=120, verbose_name="their credit notes"),
                ),
                ("closed_at", models.DateTimeField(blank=True, null=True)),
                ("closing_words", models.CharField(blank=True, max_length=300)),
                (
                    "closed_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "goods_in",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="claims",
                        to="stock.goodsin",
                    ),
                ),
                ("lines", models.ManyToManyField(related_name="claims", to="stock.goodsinline")),
                (
                    "opened_by",
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
                "ordering": ["-opened_at", "-pk"],
                "indexes": [
                    models.Index(fields=["closed_at", "notify_by"], name="stock_claim_going")
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("against__in", ["carrier", "supplier"])),
                        name="stock_claim_against",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("credit_received__gte", 0)),
                        name="stock_claim_credit_received",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("credit_expected", None), ("credit_expected__gte", 0), _connector="OR"
                        ),
                        name="stock_claim_credit_expected",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("notified_at", None), ("notified_how", ""), ("notified_words", "")
                            ),
                            models.Q(
                                ("notified_at__isnull", False),
                                (
                                    "notified_how__in",
                                    ["email", "telephone", "letter", "form", "note"],
                                ),
                                models.Q(("notified_words", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="stock_claim_told_whole",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("answer", ""), ("answered_on", None)),
                            models.Q(
                                ("answer__in", ["accepted", "partly", "refused"]),
                                ("answered_on__isnull", False),
                                ("notified_at__isnull", False),
                            ),
                            _connector="OR",
                        ),
                        name="stock_claim_answer_whole",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="KeptBack",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(unique=True)),
                ("quantity", jobs.kernel.fields.BaseUnitField()),
                ("until", models.DateField(verbose_name="kept until")),
                ("note", models.CharField(blank=True, max_length=200)),
                ("kept_at", models.DateTimeField()),
                ("released_at", models.DateTimeField(null=True)),
                ("released_because", models.CharField(blank=True, max_length=200)),
                (
                    "job",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="jobs.job"
                    ),
                ),
                (
                    "kept_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "lot",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="kept_back",
                        to="stock.lot",
                    ),
                ),
                (
                    "released_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["until", "pk"],
                "indexes": [
                    models.Index(fields=["lot", "released_at"], name="stock_keptback_open")
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("quantity__gt", 0)), name="stock_keptback_some"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("released_at", None), ("released_because", "")),
                            models.Q(
                                ("released_at__isnull", False),
                                models.Q(("released_because", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="stock_keptback_release_says_why",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Proposal",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, unique=True)),
                (
                    "method",
                    models.CharField(
                        choices=[
                            ("exact", "all together, the best"),
                            ("greedy", "job by job, at once"),
                        ],
                        max_length=6,
                    ),
                ),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("due", "waiting for a worker"),
                            ("working", "being reckoned"),
                            ("ready", "ready"),
                            ("failed", "could not be reckoned"),
                        ],
                        default="due",
                        max_length=7,
                    ),
                ),
                ("on", models.DateField()),
                ("days", models.PositiveSmallIntegerField(verbose_name="days looked ahead")),
                ("asked_at", models.DateTimeField()),
                ("claimed_at", models.DateTimeField(blank=True, null=True)),
                ("finished_at", models.DateTimeField(blank=True, null=True)),
                ("done", models.PositiveIntegerField(default=0)),
                ("parts", models.PositiveIntegerField(default=0)),
                (
                    "proven",
                    models.BooleanField(default=False, verbose_name="proven to be the best"),
                ),
                (
                    "bettered",
                    models.BooleanField(default=False, verbose_name="better than job by job"),
                ),
                ("figures", models.JSONField(blank=True, default=dict)),
                ("unmet", models.JSONField(blank=True, default=list)),
                ("error", models.CharField(blank=True, max_length=300)),
                (
                    "asked_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["-asked_at", "method"],
                "indexes": [
                    models.Index(fields=["state", "asked_at"], name="stock_proposal_state_asked")
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("method__in", ["exact", "greedy"])),
                        name="stock_proposal_method",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("state__in", ["due", "working", "ready", "failed"])),
                        name="stock_proposal_state",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="ProposalLine",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "before",
                    jobs.kernel.fields.BaseUnitField(default=0, verbose_name="reserved now"),
                ),
                ("after", jobs.kernel.fields.BaseUnitField(default=0, verbose_name="proposed")),
                ("wanted", jobs.kernel.fields.BaseUnitField()),
                ("why", models.CharField(blank=True, max_length=400)),
                (
                    "substitute",
                    models.BooleanField(default=False, verbose_name="stands in for the item"),
                ),
                ("bundle", models.PositiveIntegerField(default=0)),
                ("taken_at", models.DateTimeField(blank=True, null=True)),
                (
                    "lot",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="stock.lot",
                    ),
                ),
                (
                    "proposal",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="lines",
                        to="stock.proposal",
                    ),
                ),
                (
                    "requirement",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="stock.requirement",
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("before__gte", 0)), name="stock_proposalline_before"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("after__gte", 0)), name="stock_proposalline_after"
                    ),
                    models.UniqueConstraint(
                        fields=("proposal", "requirement", "lot"), name="stock_proposalline_once"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Substitute",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("position", models.PositiveSmallIntegerField(default=0)),
                (
                    "item",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="substitutes",
                        to="stock.item",
                    ),
                ),
                (
                    "stand_in",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="stands_in_for",
                        to="stock.item",
                    ),
                ),
            ],
            options={
                "ordering": ["item_id", "position", "pk"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("item", "stand_in"), name="stock_substitute_once"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("item", models.F("stand_in")), _negated=True),
                        name="stock_substitute_is_another",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Tin",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(unique=True)),
                (
                    "part",
                    models.CharField(choices=[("A", "part A"), ("B", "part B")], max_length=1),
                ),
                ("batch", models.CharField(blank=True, max_length=30)),
                ("expiry", models.DateField(blank=True, null=True, verbose_name="use by")),
                ("count", jobs.kernel.fields.BaseUnitField()),
                ("left", jobs.kernel.fields.BaseUnitField()),
                (
                    "why",
                    models.CharField(max_length=200, verbose_name="why they have no other part"),
                ),
                ("at", models.DateTimeField()),
                (
                    "by",
                    models.ForeignKey(
                        blank=True,
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
                        related_name="tins",
                        to="stock.item",
                    ),
                ),
                (
                    "lot",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="tins",
                        to="stock.lot",
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
                "ordering": ["-at", "-pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("part__in", ["A", "B"])), name="stock_tin_part"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("count__gt", 0)), name="stock_tin_count"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("left__gte", 0)), name="stock_tin_left"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("left__lte", models.F("count"))),
                        name="stock_tin_left_of_count",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="WasteNote",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(unique=True)),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("transfer", "transfer note"),
                            ("consignment", "consignment note (hazardous)"),
                        ],
                        default="transfer",
                        max_length=11,
                    ),
                ),
                ("number", models.CharField(max_length=40, verbose_name="number of the note")),
                ("carrier", models.CharField(max_length=120)),
                (
                    "registration",
                    models.CharField(max_length=40, verbose_name="the carrier's registration"),
                ),
                ("taken_to", models.CharField(max_length=200, verbose_name="taken to")),
                ("taken_on", models.DateField()),
                (
                    "words",
                    models.CharField(
                        max_length=300, verbose_name="what it is, with its waste code"
                    ),
                ),
                ("at", models.DateTimeField()),
                ("voided_at", models.DateTimeField(blank=True, null=True)),
                ("voided_because", models.CharField(blank=True, max_length=200)),
                (
                    "by",
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
                "ordering": ["-taken_on", "-pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("kind__in", ["transfer", "consignment"])),
                        name="stock_wastenote_kind",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("voided_at", None), ("voided_because", "")),
                            models.Q(
                                ("voided_at__isnull", False),
                                models.Q(("voided_because", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="stock_wastenote_void_says_why",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="WasteNoteLine",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "note",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="lines",
                        to="stock.wastenote",
                    ),
                ),
                (
                    "posting",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="waste_line",
                        to="stock.posting",
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
            },
        ),
        migrations.AddField(
            model_name="channel",
            name="free_from",
            field=jobs.kernel.fields.PenceField(
                blank=True, null=True, verbose_name="carriage free from"
            ),
        ),
        migrations.AddField(
            model_name="goodsin",
            name="closed_lines",
            field=models.JSONField(blank=True, default=list),
        ),
        migrations.AddField(
            model_name="goodsin",
            name="order_was",
            field=models.CharField(blank=True, default="", max_length=10),
        ),
        migrations.AddField(
            model_name="goodsin",
            name="undone_at",
            field=models.DateTimeField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="goodsin",
            name="undone_because",
            field=models.CharField(blank=True, default="", max_length=200),
        ),
        migrations.AddField(
            model_name="goodsin",
            name="undone_by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="goodsin",
            name="wrap",
            field=models.CharField(
                blank=True,
                choices=[
                    ("whole", "whole and dry"),
                    ("torn", "torn"),
                    ("wet", "wet"),
                    ("broken", "pallet broken or packs crushed"),
                ],
                default="",
                max_length=6,
                verbose_name="condition of the wrap",
            ),
        ),
        migrations.AddField(
            model_name="goodsin",
            name="wrap_note",
            field=models.CharField(
                blank=True, default="", max_length=200, verbose_name="what was seen"
            ),
        ),
        migrations.AddIndex(
            model_name="balance",
            index=models.Index(
                condition=models.Q(("quantity__gt", 0)),
                fields=["place", "lot"],
                name="stock_balance_lying",
            ),
        ),
        migrations.AddIndex(
            model_name="lot",
            index=models.Index(
                condition=models.Q(("on_hand__gt", 0), ("at_sites__gt", 0), _connector="OR"),
                fields=["expiry", "id"],
                name="stock_lot_in_use",
            ),
        ),
        migrations.AddIndex(
            model_name="lot",
            index=models.Index(fields=["expiry", "id"], name="stock_lot_first_expired"),
        ),
        migrations.AddIndex(
            model_name="posting",
            index=models.Index(fields=["-at", "-id"], name="stock_posting_latest"),
        ),
        migrations.AddConstraint(
            model_name="channel",
            constraint=models.CheckConstraint(
                condition=models.Q(("free_from__gte", 0)), name="stock_channel_free_from"
            ),
        ),
        migrations.AddConstraint(
            model_name="goodsin",
            constraint=models.CheckConstraint(
                condition=models.Q(("wrap__in", ["", "whole", "torn", "wet", "broken"])),
                name="stock_goodsin_wrap",
            ),
        ),
        migrations.AddConstraint(
            model_name="goodsin",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("undone_at", None), ("undone_because", "")),
                    models.Q(
                        ("undone_at__isnull", False),
                        models.Q(("undone_because", ""), _negated=True),
                    ),
                    _connector="OR",
                ),
                name="stock_goodsin_undone_says_why",
            ),
        ),
    ]
