from django.db import migrations

from shop.core.appendonly import AppendOnly


class Migration(migrations.Migration):
    dependencies = [("notices", "0001_initial")]

    operations = [AppendOnly("Attempt")]
