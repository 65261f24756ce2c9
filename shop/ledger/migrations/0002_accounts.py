"""Open the accounts of the first chart. Written out here, since a released migration no longer changes."""

from django.db import migrations

ACCOUNTS = [
    ("cash", "Cash in the till", "asset"),
    ("bank", "Bank", "asset"),
    ("card_clearing", "Card payments under way", "asset"),
    ("other_money", "Other money taken", "asset"),
    ("receivable", "Owed by customers", "asset"),
    ("deposits", "Deposits of customers", "liability"),
    ("tax_owed", "Tax owed", "liability"),
    ("sales", "Sales of work and parts", "income"),
    ("postage_income", "Postage charged", "income"),
    ("parts_cost", "Cost of parts", "expense"),
    ("compensation", "Compensation to customers", "expense"),
]


def open_accounts(apps, _schema_editor):
    account = apps.get_model("ledger", "Account")
    account.objects.bulk_create(
        [account(code=code, name=name, kind=kind) for code, name, kind in ACCOUNTS], ignore_conflicts=True
    )


class Migration(migrations.Migration):
    dependencies = [("ledger", "0001_initial")]
    operations = [migrations.RunPython(open_accounts, migrations.RunPython.noop)]
