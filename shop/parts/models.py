"""What can be bought and fitted."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from shop.core.models import Row, Versioned


class Supplier(Row):
    """Where parts come from."""

    trail_kind = "supplier"
    name = models.CharField(max_length=80, unique=True)
    lead_days = models.PositiveSmallIntegerField(default=7)
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name = _("supplier")
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class Part(Versioned):
    """A part as the shop stocks and sells it. Prices are in minor units of the shop's currency, before tax."""

    trail_kind = "part"
    code = models.CharField(max_length=40, unique=True)
    name = models.CharField(max_length=120)
    supplier = models.ForeignKey(Supplier, null=True, blank=True, on_delete=models.PROTECT, related_name="parts")
    cost_minor = models.PositiveBigIntegerField(default=0)
    price_minor = models.PositiveBigIntegerField(default=0)
    reorder_at = models.PositiveIntegerField(default=0)
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name = _("part")
        ordering = ["code"]
        constraints = [models.CheckConstraint(condition=~Q(code=""), name="parts_part_code")]

    def __str__(self) -> str:
        return self.name
