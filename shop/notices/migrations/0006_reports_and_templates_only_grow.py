from django.db import migrations

from shop.core.appendonly import AppendOnly


class Migration(migrations.Migration):
    dependencies = [("notices", "0005_in_full")]

    operations = [AppendOnly("Report"), AppendOnly("Template")]
