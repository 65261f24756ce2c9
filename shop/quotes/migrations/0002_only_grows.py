"""Decisions only grow."""

from django.db import migrations

from shop.core.appendonly import AppendOnly


class Migration(migrations.Migration):
    dependencies = [("quotes", "0001_initial")]
    operations = [
        AppendOnly("Decision"),
    ]
