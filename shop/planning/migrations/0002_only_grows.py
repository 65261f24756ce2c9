"""Promises only grow."""

from django.db import migrations

from shop.core.appendonly import AppendOnly


class Migration(migrations.Migration):
    dependencies = [("planning", "0001_initial")]
    operations = [
        AppendOnly("Promise"),
    ]
