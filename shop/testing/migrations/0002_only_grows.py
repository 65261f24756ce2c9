"""What was recorded no longer changes."""

from django.db import migrations

from shop.core.appendonly import AppendOnly


class Migration(migrations.Migration):
    dependencies = [("testing", "0001_initial")]
    operations = [AppendOnly("Reading")]
