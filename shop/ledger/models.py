"""Accounts and postings: what every sale and part ends in. A posting is balanced by construction."""

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from shop.core.models import Row


class Account(models.Model):
    """One account of the books."""

    class Kind(models.TextChoices):
        """Which side of the year's statement it belongs to."""

        ASSET = "asset", _("asset")
        LIABILITY = "liability", _("liability")
        INCOME = "income", _("income")
        EXPENSE = "expense", _("expense")

    code = models.CharField(primary_key=True, max_length=20)
    name = models.CharField(max_length=60)
    kind = models.CharField(max_length=10, choices=Kind.choices)

    def __str__(self) -> str:
        return self.name


class Posting(Row):
    """An amount moved from the credit account to the debit account. Only grows. Money is minor units."""

    on = models.DateField()
    debit = models.ForeignKey(Account, on_delete=models.PROTECT, related_name="+")
    credit = models.ForeignKey(Account, on_delete=models.PROTECT, related_name="+")
    amount_minor = models.PositiveBigIntegerField()
    currency = models.CharField(max_length=3)
    source = models.CharField(max_length=60, help_text="The document it comes from, for example payment:<id>")

    class Meta:
        verbose_name = _("posting")
        ordering = ["created_at"]
        constraints = [
            models.CheckConstraint(condition=Q(amount_minor__gt=0), name="ledger_posting_amount"),
            models.CheckConstraint(condition=~Q(debit=F("credit")), name="ledger_posting_two_accounts"),
        ]
