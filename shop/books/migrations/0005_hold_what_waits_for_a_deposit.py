"""Hold the units that wait for a deposit already: from now on the plan reads it from the hold."""

from django.db import migrations


def hold(apps, _editor):
    holds = apps.get_model("units", "Hold")
    requests = apps.get_model("books", "PaymentRequest")
    for asked in requests.objects.filter(settled_at=None, waived_at=None, unit__outcome=""):
        holds.objects.get_or_create(unit_id=asked.unit_id, kind="deposit", lifted_at=None)


class Migration(migrations.Migration):
    dependencies = [
        ("books", "0004_several_rates"),
        ("units", "0004_hold_for_a_deposit"),
    ]
    operations = [migrations.RunPython(hold, migrations.RunPython.noop)]
