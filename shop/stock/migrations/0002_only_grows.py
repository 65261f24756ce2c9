"""Movements only grow."""

from django.db import migrations

from shop.core.appendonly import AppendOnly


class Migration(migrations.Migration):
    dependencies = [("stock", "0001_initial")]
    operations = [
        AppendOnly("Movement"),
    ]
