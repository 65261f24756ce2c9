"""Give each line a key that it shares with the same line of the edition before, and the tax class that it had."""

import uuid

from django.db import migrations


def fill(apps, _editor):
    lines = apps.get_model("quotes", "QuoteLine")
    lines.objects.filter(taxed=False).update(tax_class="none")
    known = {}
    for line in lines.objects.select_related("quote").order_by("quote__unit_id", "quote__edition", "position"):
        # What reads the same, for the same service, part and finding, is the same line in a later edition.
        same = (line.quote.unit_id, line.kind, line.words, line.service_id, line.part_id, line.finding_id)
        key, last = known.get(same, (uuid.uuid4(), None))
        line.key = uuid.uuid4() if last == line.quote_id else key
        known[same] = (line.key, line.quote_id)
        line.save(update_fields=["key"])


class Migration(migrations.Migration):
    dependencies = [("quotes", "0006_quotes_that_hold_up")]
    operations = [migrations.RunPython(fill, migrations.RunPython.noop)]
