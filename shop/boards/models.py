"""The library: device models, their board revisions with all that sits on them, and the services for them."""

from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower
from django.utils.translation import gettext_lazy as _

from shop.boards.spots import Fit, Kind, Mount, Points, Screw, Side, Spot
from shop.core.models import Photo, Row, Versioned
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
    year = models.CharField(max_length=20, blank=True)
    photo = models.ForeignKey(Photo, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name = _("board revision")
        ordering = ["model", "marking"]
        constraints = [models.UniqueConstraint("model", Lower("marking"), name="boards_revision_once")]

    def __str__(self) -> str:
        return self.marking


class BoardEdition(Versioned):
    """What the library says of a board and its case at one time. One that a unit was worked from never changes."""

    revision = models.ForeignKey(BoardRevision, on_delete=models.PROTECT, related_name="editions")
    number = models.PositiveSmallIntegerField()
    width_mm = models.FloatField(null=True, blank=True)
    height_mm = models.FloatField(null=True, blank=True)
    case_width_mm = models.FloatField(null=True, blank=True)
    case_height_mm = models.FloatField(null=True, blank=True)
    variants = models.JSONField(default=list, blank=True, help_text="Names of the variants that share this board")
    used_at = models.DateTimeField(null=True, blank=True, help_text="Since when units are worked from it")

    class Meta:
        verbose_name = _("edition of a board")
        ordering = ["revision", "number"]
        constraints = [
            models.UniqueConstraint(fields=["revision", "number"], name="boards_edition_once"),
            models.CheckConstraint(
                condition=Q(width_mm=None, height_mm=None) | Q(width_mm__gt=0, height_mm__gt=0),
                name="boards_edition_size",
            ),
        ]

    @property
    def size_mm(self) -> tuple[float, float] | None:
        """Return the board's width and height in millimetres, when they are known."""
        return (self.width_mm, self.height_mm) if self.width_mm and self.height_mm else None

    @property
    def case_mm(self) -> tuple[float, float] | None:
        """Return the case outline's width and height in millimetres, when they are known."""
        return (self.case_width_mm, self.case_height_mm) if self.case_width_mm and self.case_height_mm else None


class BoardPicture(Row):
    """A photo of a board's side or of the case, and two points on it whose place is known."""

    class Shows(models.TextChoices):
        """What is on it."""

        TOP = "top", _("the board from above")
        BOTTOM = "bottom", _("the board from below")
        CASE = "case", _("the case where it is screwed")

    edition = models.ForeignKey(BoardEdition, on_delete=models.PROTECT, related_name="pictures")
    shows = models.CharField(max_length=6, choices=Shows.choices)
    photo = models.ForeignKey(Photo, on_delete=models.PROTECT, related_name="+")
    known = models.JSONField(default=list, blank=True, help_text="Up to two of [px x, px y, mm x, mm y]")

    class Meta:
        verbose_name = _("board picture")
        constraints = [models.UniqueConstraint(fields=["edition", "shows"], name="boards_picture_once")]


class Placement(Row):
    """A component position of an edition. Lengths are millimetres; see `spots.Spot` for the meaning of each field."""

    edition = models.ForeignKey(BoardEdition, on_delete=models.PROTECT, related_name="placements")
    designator = models.CharField(max_length=12)
    value = models.CharField(max_length=60, blank=True)
    rating = models.CharField(max_length=30, blank=True)
    kind = models.CharField(max_length=12, choices=[(kind.value, kind.value) for kind in Kind], default=Kind.OTHER)
    mount = models.CharField(max_length=7, choices=[(mount.value, mount.value) for mount in Mount], default="through")
    package = models.CharField(max_length=60, blank=True)
    x_mm = models.FloatField(null=True, blank=True)
    y_mm = models.FloatField(null=True, blank=True)
    width_mm = models.FloatField(null=True, blank=True)
    depth_mm = models.FloatField(null=True, blank=True)
    height_mm = models.FloatField(null=True, blank=True)
    rotation_deg = models.FloatField(default=0)
    positive = models.CharField(
        max_length=5, blank=True, choices=[(points.value, points.value) for points in Points], default=""
    )
    positive_checked = models.BooleanField(default=True)
    side = models.CharField(max_length=6, choices=[(side.value, side.value) for side in Side], default=Side.TOP)
    fit = models.CharField(max_length=7, choices=[(fit.value, fit.value) for fit in Fit], default=Fit.FITTED)
    variants = models.JSONField(default=list, blank=True)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        verbose_name = _("placement")
        constraints = [
            models.UniqueConstraint(fields=["edition", "designator"], name="boards_placement_once"),
            models.CheckConstraint(
                condition=Q(x_mm=None, y_mm=None) | Q(x_mm__isnull=False, y_mm__isnull=False),
                name="boards_placement_x_and_y",
            ),
        ]

    @property
    def spot(self) -> Spot:
        """Return the placement as plain data."""
        values = {name: getattr(self, name) for name in SPOT_FIELDS}
        kind, mount, side = Kind(self.kind), Mount(self.mount), Side(self.side)
        values |= {"kind": kind, "mount": mount, "side": side, "fit": Fit(self.fit), "positive": Points(self.positive)}
        return Spot(**values | {"variants": tuple(self.variants)})


SPOT_FIELDS = (
    "designator", "value", "rating", "kind", "mount", "package", "x_mm", "y_mm", "width_mm", "depth_mm", "height_mm",
    "rotation_deg", "positive", "positive_checked", "side", "fit", "variants", "note",
)  # fmt: skip


class CaseFastener(Row):
    """A group of fasteners of one kind that hold the case. See `spots.Screw` for the meaning of each field."""

    edition = models.ForeignKey(BoardEdition, on_delete=models.PROTECT, related_name="fasteners")
    label = models.CharField(max_length=3)
    where = models.CharField(max_length=60)
    drive = models.CharField(max_length=20, blank=True)
    bit = models.CharField(max_length=20, blank=True)
    thread = models.CharField(max_length=20, blank=True)
    length_mm = models.FloatField(null=True, blank=True)
    count = models.PositiveSmallIntegerField(default=1)
    order = models.PositiveSmallIntegerField(default=1)
    places_mm = models.JSONField(default=list, blank=True)
    warning = models.CharField(max_length=200, blank=True)

    class Meta:
        verbose_name = _("fasteners of a case")
        ordering = ["order", "label"]
        constraints = [
            models.UniqueConstraint(fields=["edition", "label"], name="boards_fastener_once"),
            models.CheckConstraint(condition=Q(count__gte=1), name="boards_fastener_count"),
        ]

    @property
    def screw(self) -> Screw:
        """Return the group as plain data."""
        values = {name: getattr(self, name) for name in SCREW_FIELDS}
        return Screw(**values | {"places_mm": tuple((x, y) for x, y in self.places_mm)})


SCREW_FIELDS = (
    "label", "where", "drive", "bit", "thread", "length_mm", "count", "order", "places_mm", "warning"
)  # fmt: skip


class Service(Versioned):
    """Work the shop offers. Prices are minor units before tax; minutes are hands-on time at the bench."""

    class Nature(models.TextChoices):
        """What sort of work it is: that decides where in the job sheet its steps stand."""

        REPLACE = "replace", _("parts of the board are replaced")
        REGULATOR = "regulator", _("a part on a heat sink is replaced")
        MODIFICATION = "modification", _("something is added to the board")
        BATTERY = "battery", _("a battery is changed")
        OTHER = "other", _("other work")

    trail_kind = "service"
    code = models.CharField(max_length=30, unique=True)
    name = models.CharField(max_length=80)
    says = models.TextField(blank=True, help_text="What it is, for the customer")
    minutes = models.PositiveSmallIntegerField(default=30)
    price_minor = models.PositiveBigIntegerField(default=0)
    asks_video = models.BooleanField(default=False)
    optional_extra = models.BooleanField(default=False)
    steps = models.JSONField(default=list, blank=True, help_text="The steps of the work, in order")
    nature = models.CharField(max_length=12, choices=Nature.choices, default=Nature.OTHER)
    selects = models.JSONField(default=list, blank=True, help_text="Kinds (electrolytic) or designators (U3, C*)")
    cuts = models.JSONField(default=list, blank=True, help_text="Designators whose leg is cut for it")
    wires = models.JSONField(default=list, blank=True, help_text="Of each wire: colour, length_mm, start, end")
    minutes_spread = models.PositiveSmallIntegerField(default=0, help_text="More or less by so many minutes")
    skill = models.CharField(max_length=60, blank=True)
    equipment = models.JSONField(default=list, blank=True, help_text="What the bench must have")
    cautions = models.CharField(max_length=300, blank=True)
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name = _("service")
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(condition=Q(minutes__gte=1), name="boards_service_minutes"),
            models.CheckConstraint(
                condition=Q(minutes_spread__lt=F("minutes")) | Q(minutes_spread=0), name="boards_service_spread"
            ),
        ]

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
