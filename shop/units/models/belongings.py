"""What belongs to a unit: bags, findings, pictures, parcels, incidents, costs. Money is minor units."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from shop.core.models import Photo, Row
from shop.core.tagcode import new_code, printed
from shop.units.models.unit import Unit


class Bag(Row):
    """A labelled bag that belongs to a unit. The unit's own tag is the bag of kind unit."""

    class Kind(models.TextChoices):
        """What is in it."""

        UNIT = "unit", _("unit")
        FASTENERS = "fasteners", _("fasteners")
        REMOVED = "removed", _("removed parts")
        ACCESSORIES = "accessories", _("accessories")

    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="bags")
    kind = models.CharField(max_length=12, choices=Kind.choices)
    code = models.CharField(max_length=7, unique=True, default=new_code)
    contents = models.CharField(max_length=200, blank=True)

    class Meta:
        verbose_name = _("bag")
        ordering = ["created_at"]
        constraints = [
            models.UniqueConstraint(fields=["unit"], condition=Q(kind="unit"), name="units_bag_one_tag"),
        ]

    @property
    def printed_code(self) -> str:
        """Return the tag code as labels show it, with its check symbol."""
        return printed(self.code)


class Finding(Row):
    """Something seen on arrival or at the bench that the customer did not report."""

    class Kind(models.TextChoices):
        """The list; words say the rest."""

        EARLIER_WORK = "earlier_work", _("earlier work")
        MISSING_SCREWS = "missing_screws", _("missing screws")
        SMOKE = "smoke", _("smoke")
        LIQUID = "liquid", _("liquid")
        INSECTS = "insects", _("insects")
        CORROSION = "corrosion", _("corrosion")
        LEAK = "leak", _("leaked electrolyte")
        LIFTED_PAD = "lifted_pad", _("a lifted pad")
        BROKEN_TRACE = "broken_trace", _("a broken trace")
        DAMAGE = "damage", _("damage")
        OTHER = "other", _("other")

    class Repair(models.TextChoices):
        """What is to become of it."""

        NONE = "", _("only written down")
        NOW = "now", _("mended with the work, at no extra charge")
        OFFERED = "offered", _("offered to the customer")

    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="findings")
    kind = models.CharField(max_length=16, choices=Kind.choices)
    words = models.TextField(blank=True)
    photo = models.ForeignKey(Photo, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    settled_at = models.DateTimeField(null=True, blank=True, help_text="When it was dealt with")
    x_mm = models.FloatField(null=True, blank=True)
    y_mm = models.FloatField(null=True, blank=True)
    side = models.CharField(max_length=6, blank=True, help_text="Of the board: top or bottom")
    repair = models.CharField(max_length=8, choices=Repair.choices, blank=True, default="")
    repair_minutes = models.PositiveSmallIntegerField(default=0)
    repair_minor = models.PositiveBigIntegerField(default=0, help_text="What mending it costs, before tax")

    class Meta:
        verbose_name = _("finding")
        ordering = ["created_at"]
        constraints = [
            models.CheckConstraint(
                condition=Q(x_mm=None, y_mm=None) | Q(x_mm__isnull=False, y_mm__isnull=False),
                name="units_finding_x_and_y",
            ),
        ]


class UnitPhoto(Row):
    """A picture of a unit and what it shows."""

    class Purpose(models.TextChoices):
        """What the picture is evidence of."""

        CONDITION = "condition", _("condition on arrival")
        PACKING_IN = "packing_in", _("packing on arrival")
        PACKING_OUT = "packing_out", _("packing on departure")
        BOARD = "board", _("board")
        BEFORE = "before", _("before")
        AFTER = "after", _("after")
        OTHER = "other", _("other")

    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="photos")
    photo = models.ForeignKey(Photo, on_delete=models.PROTECT, related_name="+")
    purpose = models.CharField(max_length=12, choices=Purpose.choices)
    caption = models.CharField(max_length=120, blank=True)
    for_customer = models.BooleanField(default=True)

    class Meta:
        verbose_name = _("unit photo")
        ordering = ["created_at"]


class Parcel(Row):
    """A parcel that came or went. Value is minor units."""

    class Direction(models.TextChoices):
        """Which way it travelled."""

        IN = "in", _("arrived")
        OUT = "out", _("sent")

    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="parcels")
    direction = models.CharField(max_length=3, choices=Direction.choices)
    carrier = models.CharField(max_length=60)
    tracking = models.CharField(max_length=60, blank=True)
    declared_minor = models.PositiveBigIntegerField(default=0)

    class Meta:
        verbose_name = _("parcel")
        ordering = ["created_at"]


class Incident(Row):
    """Something the shop broke or lost, with what was offered for it. Money is minor units."""

    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="incidents")
    words = models.TextField()
    offer = models.TextField()
    cost_minor = models.PositiveBigIntegerField(default=0)
    photo = models.ForeignKey(Photo, null=True, blank=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        verbose_name = _("incident")
        ordering = ["created_at"]


class Cost(Row):
    """What the shop spent on a unit of its own. Money is minor units."""

    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="costs")
    words = models.CharField(max_length=120)
    amount_minor = models.PositiveBigIntegerField()

    class Meta:
        verbose_name = _("cost")
        ordering = ["created_at"]
