"""The library: device models, their board revisions, and the services the shop offers for them."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from shop.core.models import Row, Versioned
from shop.parts.models import Part


class DeviceModel(Row):
    """A maker's model, as written on the case."""

    trail_kind = "model"
    maker = models.CharField(max_length=60)
    name = models.CharField(max_length=80)
    mains_inside = models.BooleanField(default=False)
    tube_inside = models.BooleanField(default=False)
    battery_inside = models.BooleanField(default=False)
    fastener_count = models.PositiveSmallIntegerField(null=True, blank=True)
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name = _("device model")
        ordering = ["maker", "name"]
        constraints = [models.UniqueConstraint(fields=["maker", "name"], name="boards_model_once")]

    def __str__(self) -> str:
        return f"{self.maker} {self.name}"


class BoardRevision(Row):
    """One version of a model's printed-circuit board, and how to tell it from the others."""

    trail_kind = "revision"
    model = models.ForeignKey(DeviceModel, on_delete=models.PROTECT, related_name="revisions")
    marking = models.CharField(max_length=60)
    how_to_tell = models.TextField(blank=True)
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name = _("board revision")
        ordering = ["model", "marking"]
        constraints = [models.UniqueConstraint(fields=["model", "marking"], name="boards_revision_once")]

    def __str__(self) -> str:
        return self.marking


class Service(Versioned):
    """Work the shop offers. Prices are minor units before tax; minutes are hands-on time at the bench."""

    trail_kind = "service"
    code = models.CharField(max_length=30, unique=True)
    name = models.CharField(max_length=80)
    says = models.TextField(blank=True, help_text="What it is, for the customer")
    minutes = models.PositiveSmallIntegerField(default=30)
    price_minor = models.PositiveBigIntegerField(default=0)
    asks_video = models.BooleanField(default=False)
    optional_extra = models.BooleanField(default=False)
    steps = models.JSONField(default=list, blank=True, help_text="The steps of the work, in order")
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name = _("service")
        ordering = ["name"]
        constraints = [models.CheckConstraint(condition=Q(minutes__gte=1), name="boards_service_minutes")]

    def __str__(self) -> str:
        return self.name


class ServicePart(models.Model):
    """A part that a service brings, and how many."""

    service = models.ForeignKey(Service, on_delete=models.PROTECT, related_name="parts")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="+")
    quantity = models.PositiveSmallIntegerField(default=1)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["service", "part"], name="boards_service_part_once"),
            models.CheckConstraint(condition=Q(quantity__gte=1), name="boards_service_part_quantity"),
        ]
