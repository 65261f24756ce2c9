"""The dates told to customers."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from shop.core.models import Row
from shop.units.models import Unit


class Promise(Row):
    """A date told to a customer with the confidence and the figures behind it. Only grows; the newest counts."""

    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="promises")
    on = models.DateField()
    percent = models.PositiveSmallIntegerField()
    basis = models.TextField(help_text="Canonical JSON: the figures it was computed from")

    class Meta:
        verbose_name = _("promise")
        ordering = ["created_at"]
        constraints = [
            models.CheckConstraint(condition=Q(percent__gte=1, percent__lte=99), name="planning_promise_percent"),
        ]
