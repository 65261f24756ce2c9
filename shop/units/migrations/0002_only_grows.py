"""Consents only grow."""

from django.db import migrations

from shop.core.appendonly import AppendOnly


class Migration(migrations.Migration):
    dependencies = [("units", "0001_initial")]
    operations = [
        AppendOnly("Consent"),
    ]
