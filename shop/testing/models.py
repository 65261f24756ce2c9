"""What is measured and tried before a unit goes back."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from shop.boards.models import DeviceModel, Service
from shop.core.models import Photo, Row
from shop.units.models import Unit


class Phase(models.TextChoices):
    """While the unit can be probed, or after it was closed and counted."""

    OPEN = "open", _("open")
    CLOSED = "closed", _("closed")


class TestPoint(Row):
    """One thing a procedure asks for: a measured quantity with limits, or a yes or no. A procedure names services."""

    __test__ = False  # pytest: not a test class
    trail_kind = "test_point"
    phase = models.CharField(max_length=6, choices=Phase.choices)
    name = models.CharField(max_length=80)
    how = models.TextField(blank=True)
    quantity = models.CharField(max_length=10, blank=True, help_text="V, A, °C …; empty for a yes or no")
    low = models.DecimalField(max_digits=12, decimal_places=4, null=True, blank=True)
    high = models.DecimalField(max_digits=12, decimal_places=4, null=True, blank=True)
    caution = models.CharField(max_length=300, blank=True)
    model = models.ForeignKey(DeviceModel, null=True, blank=True, on_delete=models.PROTECT, related_name="points")
    services = models.ManyToManyField(Service, related_name="points", blank=True)
    position = models.PositiveSmallIntegerField(default=100)
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name = _("test point")
        ordering = ["phase", "position", "name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(quantity="", low=None, high=None)
                | (~Q(quantity="") & (Q(low__isnull=False) | Q(high__isnull=False))),
                name="testing_point_has_limits",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Reading(Row):
    """A measured value or an answer, with its verdict. Only grows: the newest of a point counts."""

    class Verdict(models.TextChoices):
        """Undecided when the measurement is not good enough to tell."""

        PASS = "pass", _("pass")
        FAIL = "fail", _("fail")
        UNDECIDED = "undecided", _("undecided")

    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="readings")
    point = models.ForeignKey(TestPoint, null=True, blank=True, on_delete=models.PROTECT, related_name="readings")
    seq = models.PositiveIntegerField(help_text="Counts the unit's readings, so that the newest is sure")
    round = models.PositiveSmallIntegerField(default=1, help_text="Counts up each time the unit goes back to the bench")
    phase = models.CharField(max_length=6, choices=Phase.choices)
    name = models.CharField(max_length=80)
    quantity = models.CharField(max_length=10, blank=True)
    value = models.DecimalField(max_digits=12, decimal_places=4, null=True, blank=True)
    uncertainty = models.DecimalField(max_digits=12, decimal_places=4, null=True, blank=True)
    answer = models.BooleanField(null=True, blank=True)
    instrument = models.CharField(max_length=80, blank=True)
    verdict = models.CharField(max_length=10, choices=Verdict.choices)
    words = models.CharField(max_length=200, blank=True)
    photo = models.ForeignKey(Photo, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        verbose_name = _("reading")
        ordering = ["unit_id", "seq"]
        constraints = [
            models.UniqueConstraint(fields=["unit", "seq"], name="testing_reading_one_seq"),
            models.CheckConstraint(
                condition=(Q(value__isnull=False) & ~Q(quantity="") & Q(answer=None))
                | Q(value=None, quantity="", answer__isnull=False),
                name="testing_reading_value_or_answer",
            ),
        ]
