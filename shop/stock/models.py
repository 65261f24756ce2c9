"""Lots of parts, and what moved in and out of them."""

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from shop.core.models import Row
from shop.parts.models import Part, Supplier
from shop.units.models import Unit


class Lot(Row):
    """Parts bought together. on_hand and reserved change together with a movement, under the lot's lock."""

    trail_kind = "lot"
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="lots")
    supplier = models.ForeignKey(Supplier, null=True, blank=True, on_delete=models.PROTECT, related_name="lots")
    marking = models.CharField(max_length=60, blank=True)
    on_hand = models.PositiveIntegerField(default=0)
    reserved = models.PositiveIntegerField(default=0)
    cost_minor = models.PositiveBigIntegerField(default=0)

    class Meta:
        verbose_name = _("lot")
        ordering = ["created_at"]
        constraints = [
            models.CheckConstraint(condition=Q(reserved__lte=F("on_hand")), name="stock_lot_reserved_on_hand"),
        ]


class Movement(Row):
    """One change of a lot. Only grows; the sums of a lot's movements are its on_hand and reserved."""

    class Kind(models.TextChoices):
        """What happened."""

        RECEIVED = "received", _("received")
        RESERVED = "reserved", _("reserved")
        RELEASED = "released", _("released")
        ISSUED = "issued", _("issued")

    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="movements")
    kind = models.CharField(max_length=10, choices=Kind.choices)
    quantity = models.PositiveIntegerField()
    unit = models.ForeignKey(Unit, null=True, blank=True, on_delete=models.PROTECT, related_name="movements")

    class Meta:
        verbose_name = _("movement")
        ordering = ["created_at"]
        constraints = [models.CheckConstraint(condition=Q(quantity__gte=1), name="stock_movement_quantity")]
