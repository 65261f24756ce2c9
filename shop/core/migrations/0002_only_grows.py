"""The trail only grows."""

from django.db import migrations

from shop.core.appendonly import AppendOnly


class Migration(migrations.Migration):
    dependencies = [("core", "0001_initial")]
    operations = [
        AppendOnly("TrailEntry"),
    ]
