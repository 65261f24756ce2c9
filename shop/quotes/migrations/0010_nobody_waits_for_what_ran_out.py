"""Lift the holds for approval of quotes that ran out: until now they stayed, and kept agreed work out of the plan."""

from django.db import migrations

from shop.core import clock


def lift(apps, _editor):
    holds = apps.get_model("units", "Hold")
    waiting = apps.get_model("quotes", "QuoteVersion").objects.filter(state="sent")
    over = holds.objects.filter(kind="approval", lifted_at=None).exclude(unit__in=waiting.values("unit"))
    over.update(lifted_at=clock.now())


class Migration(migrations.Migration):
    dependencies = [
        ("quotes", "0009_question_by_its_words"),
        ("units", "0004_hold_for_a_deposit"),
    ]
    operations = [migrations.RunPython(lift, migrations.RunPython.noop)]
