"""Elections, reasons, options, questions, templates and papers."""

import django.db.models.deletion
import shop.core.clock
import uuid
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("boards", "0003_the_library_knows_boards"),
        ("core", "0004_what_quotes_and_notices_need"),
        ("parts", "0002_part_version"),
        ("quotes", "0005_the_library_knows_boards"),
        ("units", "0003_the_library_knows_boards"),
    ]

    operations = [
        migrations.CreateModel(
            name="DecisionPaper",
            fields=[
                ("id", models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ("created_at", models.DateTimeField(default=shop.core.clock.now, editable=False)),
                ("pdf", models.BinaryField()),
                ("pdf_sha256", models.CharField(max_length=64, unique=True)),
            ],
            options={
                "verbose_name": "paper of a decision",
            },
        ),
        migrations.CreateModel(
            name="MarkupBand",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("from_cost_minor", models.PositiveBigIntegerField(unique=True)),
                ("markup_millipercent", models.PositiveIntegerField()),
                ("least_minor", models.PositiveBigIntegerField(default=0)),
            ],
            options={
                "verbose_name": "mark-up",
                "ordering": ["from_cost_minor"],
            },
        ),
        migrations.CreateModel(
            name="Question",
            fields=[
                ("id", models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ("created_at", models.DateTimeField(default=shop.core.clock.now, editable=False)),
                ("answered_at", models.DateTimeField(blank=True, null=True)),
                ("answered_by", models.CharField(blank=True, max_length=60)),
            ],
            options={
                "verbose_name": "question",
                "ordering": ["created_at"],
            },
        ),
        migrations.CreateModel(
            name="QuoteTemplate",
            fields=[
                ("id", models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ("created_at", models.DateTimeField(default=shop.core.clock.now, editable=False)),
                ("name", models.CharField(max_length=80, unique=True)),
                ("retired_at", models.DateTimeField(blank=True, null=True)),
            ],
            options={
                "verbose_name": "quote template",
                "ordering": ["name"],
            },
        ),
        migrations.CreateModel(
            name="TemplateLine",
            fields=[
                ("id", models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ("created_at", models.DateTimeField(default=shop.core.clock.now, editable=False)),
                ("position", models.PositiveSmallIntegerField()),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("labour", "labour"),
                            ("part", "part"),
                            ("postage", "postage"),
                            ("insurance", "insurance"),
                            ("fee", "fee"),
                            ("surcharge", "surcharge"),
                            ("discount", "discount"),
                            ("credit", "credit"),
                        ],
                        max_length=10,
                    ),
                ),
                ("words", models.CharField(max_length=160)),
                ("quantity", models.PositiveIntegerField(default=1)),
                ("unit_minor", models.BigIntegerField()),
                (
                    "discount_millipercent",
                    models.PositiveIntegerField(default=0, help_text="Off this line, of its own sum"),
                ),
                ("percent_millipercent", models.PositiveIntegerField(default=0)),
                (
                    "tax_class",
                    models.CharField(
                        choices=[("standard", "standard rate"), ("reduced", "reduced rate"), ("none", "no tax")],
                        default="standard",
                        max_length=10,
                    ),
                ),
                ("optional", models.BooleanField(default=False)),
                ("taken", models.BooleanField(default=True)),
                ("one_of", models.CharField(blank=True, max_length=60)),
                ("may_skip", models.BooleanField(default=False, help_text="None of the group may be taken either")),
                ("needs", models.CharField(blank=True, max_length=36)),
                (
                    "why",
                    models.CharField(blank=True, help_text="Why the unit needs it, for the customer", max_length=300),
                ),
                (
                    "source",
                    models.CharField(
                        choices=[
                            ("shop", "from the shop"),
                            ("customer", "brought by the customer"),
                            ("harvested", "taken from another unit"),
                        ],
                        default="shop",
                        max_length=10,
                    ),
                ),
                ("option", models.CharField(blank=True, max_length=36)),
            ],
            options={
                "verbose_name": "line of a quote template",
                "ordering": ["position"],
                "abstract": False,
            },
        ),
        migrations.RemoveConstraint(
            model_name="quoteline",
            name="quotes_line_quantity",
        ),
        migrations.RemoveConstraint(
            model_name="quoteline",
            name="quotes_line_must_be_taken",
        ),
        migrations.RemoveConstraint(
            model_name="quoteline",
            name="quotes_line_sign",
        ),
        migrations.AddField(
            model_name="quoteline",
            name="discount_millipercent",
            field=models.PositiveIntegerField(default=0, help_text="Off this line, of its own sum"),
        ),
        migrations.AddField(
            model_name="quoteline",
            name="donor",
            field=models.ForeignKey(
                blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name="+", to="units.unit"
            ),
        ),
        migrations.AddField(
            model_name="quoteline",
            name="key",
            field=models.UUIDField(default=uuid.uuid4),
        ),
        migrations.AddField(
            model_name="quoteline",
            name="may_skip",
            field=models.BooleanField(default=False, help_text="None of the group may be taken either"),
        ),
        migrations.AddField(
            model_name="quoteline",
            name="needs",
            field=models.CharField(blank=True, max_length=36),
        ),
        migrations.AddField(
            model_name="quoteline",
            name="one_of",
            field=models.CharField(blank=True, max_length=60),
        ),
        migrations.AddField(
            model_name="quoteline",
            name="percent_millipercent",
            field=models.PositiveIntegerField(default=0),
        ),
        migrations.AddField(
            model_name="quoteline",
            name="source",
            field=models.CharField(
                choices=[
                    ("shop", "from the shop"),
                    ("customer", "brought by the customer"),
                    ("harvested", "taken from another unit"),
                ],
                default="shop",
                max_length=10,
            ),
        ),
        migrations.AddField(
            model_name="quoteline",
            name="tax_class",
            field=models.CharField(
                choices=[("standard", "standard rate"), ("reduced", "reduced rate"), ("none", "no tax")],
                default="standard",
                max_length=10,
            ),
        ),
        migrations.AddField(
            model_name="quoteline",
            name="why",
            field=models.CharField(blank=True, help_text="Why the unit needs it, for the customer", max_length=300),
        ),
        migrations.AddField(
            model_name="quoteversion",
            name="prices_include_tax",
            field=models.BooleanField(default=False),
        ),
        migrations.AddField(
            model_name="quoteversion",
            name="tax_basis",
            field=models.CharField(
                choices=[("document", "once for the document"), ("item", "line by line")],
                default="document",
                max_length=8,
            ),
        ),
        migrations.AddField(
            model_name="quoteversion",
            name="tax_reduced_millipercent",
            field=models.PositiveIntegerField(default=0),
        ),
        migrations.AddField(
            model_name="quoteversion",
            name="tax_rounding",
            field=models.CharField(
                choices=[
                    ("half_up", "to the nearest, half up"),
                    ("half_even", "to the nearest, half to even"),
                    ("down", "down"),
                    ("up", "up"),
                ],
                default="half_up",
                max_length=10,
            ),
        ),
        migrations.AddField(
            model_name="quoteversion",
            name="why_changed",
            field=models.CharField(
                blank=True, help_text="Why there is a new edition, for the customer", max_length=300
            ),
        ),
        migrations.AlterField(
            model_name="quoteline",
            name="kind",
            field=models.CharField(
                choices=[
                    ("labour", "labour"),
                    ("part", "part"),
                    ("postage", "postage"),
                    ("insurance", "insurance"),
                    ("fee", "fee"),
                    ("surcharge", "surcharge"),
                    ("discount", "discount"),
                    ("credit", "credit"),
                ],
                max_length=10,
            ),
        ),
        migrations.AddField(
            model_name="decisionpaper",
            name="decision",
            field=models.OneToOneField(
                on_delete=django.db.models.deletion.PROTECT, related_name="paper", to="quotes.decision"
            ),
        ),
        migrations.AddField(
            model_name="question",
            name="answer",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="core.personaltext",
            ),
        ),
        migrations.AddField(
            model_name="question",
            name="asked",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="+", to="core.personaltext"
            ),
        ),
        migrations.AddField(
            model_name="question",
            name="quote",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="questions",
                to="quotes.quoteversion",
            ),
        ),
        migrations.AddField(
            model_name="question",
            name="unit",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="questions", to="units.unit"
            ),
        ),
        migrations.AddField(
            model_name="templateline",
            name="part",
            field=models.ForeignKey(
                blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name="+", to="parts.part"
            ),
        ),
        migrations.AddField(
            model_name="templateline",
            name="service",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="boards.service",
            ),
        ),
        migrations.AddField(
            model_name="templateline",
            name="template",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="lines", to="quotes.quotetemplate"
            ),
        ),
        migrations.AddIndex(
            model_name="question",
            index=models.Index(
                condition=models.Q(("answered_at", None)), fields=["created_at"], name="quotes_question_open"
            ),
        ),
        migrations.AddConstraint(
            model_name="question",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("answer", None), ("answered_at", None)),
                    models.Q(("answer__isnull", False), ("answered_at__isnull", False)),
                    _connector="OR",
                ),
                name="quotes_question_answered",
            ),
        ),
        migrations.AddConstraint(
            model_name="templateline",
            constraint=models.UniqueConstraint(fields=("template", "position"), name="quotes_templateline_position"),
        ),
        migrations.AddConstraint(
            model_name="templateline",
            constraint=models.CheckConstraint(
                condition=models.Q(("quantity__gte", 1)), name="quotes_templateline_quantity"
            ),
        ),
        migrations.AddConstraint(
            model_name="templateline",
            constraint=models.CheckConstraint(
                condition=models.Q(("optional", True), ("taken", True), _connector="OR"),
                name="quotes_templateline_must_be_taken",
            ),
        ),
        migrations.AddConstraint(
            model_name="templateline",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("optional", True), models.Q(("may_skip", False), ("needs", ""), ("one_of", "")), _connector="OR"
                ),
                name="quotes_templateline_only_options",
            ),
        ),
        migrations.AddConstraint(
            model_name="templateline",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("kind__in", ["discount", "credit"]), ("unit_minor__lte", 0)),
                    models.Q(models.Q(("kind__in", ["discount", "credit"]), _negated=True), ("unit_minor__gte", 0)),
                    _connector="OR",
                ),
                name="quotes_templateline_sign",
            ),
        ),
        migrations.AddConstraint(
            model_name="templateline",
            constraint=models.CheckConstraint(
                condition=models.Q(("discount_millipercent__lte", 100000)), name="quotes_templateline_off"
            ),
        ),
        migrations.AddConstraint(
            model_name="templateline",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("percent_millipercent", 0),
                    models.Q(("kind__in", ["discount", "surcharge"]), ("quantity", 1), ("unit_minor", 0)),
                    _connector="OR",
                ),
                name="quotes_templateline_share",
            ),
        ),
        migrations.AddConstraint(
            model_name="templateline",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("source", "customer"), _negated=True),
                    models.Q(("kind", "part"), ("unit_minor", 0)),
                    _connector="OR",
                ),
                name="quotes_templateline_brought",
            ),
        ),
    ]
