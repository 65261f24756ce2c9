"""A posting no longer changes: what was wrong is posted back."""

from django.db import migrations

from shop.core.appendonly import AppendOnly


class Migration(migrations.Migration):
    dependencies = [("ledger", "0002_accounts")]
    operations = [AppendOnly("Posting")]
