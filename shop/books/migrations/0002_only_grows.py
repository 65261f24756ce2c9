"""What was recorded no longer changes."""

from django.db import migrations

from shop.core.appendonly import AppendOnly


class Migration(migrations.Migration):
    dependencies = [("books", "0001_initial")]
    operations = [AppendOnly("Invoice"), AppendOnly("Payment"), AppendOnly("Release")]
