"""Bills, payments, and the release of a unit. Money is minor units; what was issued no longer changes."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from shop.core.models import Row
from shop.quotes.models import QuoteVersion
from shop.units.models import Unit


class Invoice(Row):
    """An issued bill: names, lines and rates are copied in, the number has no gap. Only grows."""

    number = models.PositiveIntegerField(unique=True)
    unit = models.OneToOneField(Unit, on_delete=models.PROTECT, related_name="invoice")
    currency = models.CharField(max_length=3)
    bill_to = models.TextField()
    from_shop = models.TextField()
    lines = models.TextField(help_text="Canonical JSON: words, quantity, unit_minor, net_minor")
    net_minor = models.BigIntegerField()
    tax_name = models.CharField(max_length=30)
    tax_rate_millipercent = models.PositiveIntegerField()
    tax_minor = models.BigIntegerField()
    total_minor = models.BigIntegerField()
    prices_include_tax = models.BooleanField(default=False)
    taxes = models.TextField(default="[]", help_text="Canonical JSON: rate_millipercent, taxable_minor, tax_minor")
    issued_on = models.DateField()

    class Meta:
        verbose_name = _("invoice")
        ordering = ["number"]
        constraints = [
            models.CheckConstraint(
                condition=Q(total_minor=models.F("net_minor") + models.F("tax_minor")), name="books_invoice_adds_up"
            ),
        ]


class Payment(Row):
    """Money taken (or, below zero, given back) for a unit. Only grows."""

    class Method(models.TextChoices):
        """How it was paid; no card data is touched."""

        CASH = "cash", _("cash")
        CARD = "card", _("card terminal")
        TRANSFER = "transfer", _("bank transfer")
        OTHER = "other", _("other")

    number = models.PositiveIntegerField(unique=True)
    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="payments")
    method = models.CharField(max_length=10, choices=Method.choices)
    amount_minor = models.BigIntegerField()
    currency = models.CharField(max_length=3)
    reference = models.CharField(max_length=80, blank=True)
    by_id = models.CharField(max_length=60)

    class Meta:
        verbose_name = _("payment")
        ordering = ["number"]
        constraints = [models.CheckConstraint(condition=~Q(amount_minor=0), name="books_payment_not_nil")]


class PaymentRequest(Row):
    """Money asked for on an approved quote before its bill: a deposit. No card data is touched.

    It is open until it is settled by payments or waived by the shop.
    """

    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="payment_requests")
    quote = models.ForeignKey(QuoteVersion, on_delete=models.PROTECT, related_name="payment_requests")
    amount_minor = models.PositiveBigIntegerField()
    currency = models.CharField(max_length=3)
    settled_at = models.DateTimeField(null=True, blank=True)
    waived_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name = _("payment request")
        ordering = ["created_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["unit"], condition=Q(settled_at=None, waived_at=None), name="books_request_one_open"
            ),
            models.CheckConstraint(condition=Q(amount_minor__gt=0), name="books_request_not_nil"),
            models.CheckConstraint(condition=Q(settled_at=None) | Q(waived_at=None), name="books_request_one_end"),
        ]


class Release(Row):
    """The handing over of a unit: to whom, and how we knew. Only grows."""

    class Check(models.TextChoices):
        """How the person was known."""

        CODE = "code", _("code from the customer's page")
        IDENTITY = "identity", _("identity document seen")
        POST = "post", _("sent by post")
        OWN = "own", _("the shop's own unit")

    unit = models.OneToOneField(Unit, on_delete=models.PROTECT, related_name="release")
    check_kind = models.CharField(max_length=10, choices=Check.choices)
    document = models.CharField(max_length=60, blank=True, help_text="Which kind of document was seen, no number")
    by_id = models.CharField(max_length=60)

    class Meta:
        verbose_name = _("release")
