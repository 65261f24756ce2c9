"""Every line has its key and its tax class by now; papers only grow."""

from django.db import migrations, models

from shop.core.appendonly import AppendOnly


class Migration(migrations.Migration):
    dependencies = [
        ("quotes", "0007_fill_keys"),
    ]

    operations = [
        migrations.RemoveField(
            model_name="quoteline",
            name="taxed",
        ),
        migrations.AddConstraint(
            model_name="quoteline",
            constraint=models.UniqueConstraint(fields=("quote", "key"), name="quotes_line_key"),
        ),
        migrations.AddConstraint(
            model_name="quoteline",
            constraint=models.CheckConstraint(
                condition=models.Q(("source", "harvested"), ("donor", None), _connector="XOR"),
                name="quotes_line_harvested_names_donor",
            ),
        ),
        migrations.AddConstraint(
            model_name="quoteline",
            constraint=models.CheckConstraint(
                condition=models.Q(("quantity__gte", 1)), name="quotes_quoteline_quantity"
            ),
        ),
        migrations.AddConstraint(
            model_name="quoteline",
            constraint=models.CheckConstraint(
                condition=models.Q(("optional", True), ("taken", True), _connector="OR"),
                name="quotes_quoteline_must_be_taken",
            ),
        ),
        migrations.AddConstraint(
            model_name="quoteline",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("optional", True), models.Q(("may_skip", False), ("needs", ""), ("one_of", "")), _connector="OR"
                ),
                name="quotes_quoteline_only_options",
            ),
        ),
        migrations.AddConstraint(
            model_name="quoteline",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("kind__in", ["discount", "credit"]), ("unit_minor__lte", 0)),
                    models.Q(models.Q(("kind__in", ["discount", "credit"]), _negated=True), ("unit_minor__gte", 0)),
                    _connector="OR",
                ),
                name="quotes_quoteline_sign",
            ),
        ),
        migrations.AddConstraint(
            model_name="quoteline",
            constraint=models.CheckConstraint(
                condition=models.Q(("discount_millipercent__lte", 100000)), name="quotes_quoteline_off"
            ),
        ),
        migrations.AddConstraint(
            model_name="quoteline",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("percent_millipercent", 0),
                    models.Q(("kind__in", ["discount", "surcharge"]), ("quantity", 1), ("unit_minor", 0)),
                    _connector="OR",
                ),
                name="quotes_quoteline_share",
            ),
        ),
        migrations.AddConstraint(
            model_name="quoteline",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("source", "customer"), _negated=True),
                    models.Q(("kind", "part"), ("unit_minor", 0)),
                    _connector="OR",
                ),
                name="quotes_quoteline_brought",
            ),
        ),
        AppendOnly("DecisionPaper"),
    ]
