from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("units", "0003_the_library_knows_boards"),
    ]

    operations = [
        migrations.AlterField(
            model_name="hold",
            name="kind",
            field=models.CharField(
                choices=[
                    ("approval", "approval"),
                    ("deposit", "deposit"),
                    ("parts", "parts"),
                    ("customer", "customer"),
                    ("other", "other"),
                ],
                max_length=10,
            ),
        ),
    ]
