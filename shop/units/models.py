"""Units and everything that belongs to one visit: bags, findings, holds, pictures, parcels, promises kept."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from shop.boards.models import BoardEdition, BoardRevision, DeviceModel, Service
from shop.core import clock
from shop.core.models import Photo, Row, Versioned
from shop.core.tagcode import new_code, printed
from shop.people.models import Customer, Place


class Stage(models.TextChoices):
    """Where in its journey a unit is. The order is the journey's."""

    INTAKE = "intake", _("intake")
    QUEUE = "queue", _("queue")
    BENCH = "bench", _("bench")
    TESTING = "testing", _("testing")
    PICKUP = "pickup", _("pickup")


class Outcome(models.TextChoices):
    """How a unit left."""

    COLLECTED = "collected", _("collected")
    SHIPPED = "shipped", _("shipped")
    SOLD = "sold", _("sold")
    RETURNED_UNREPAIRED = "returned_unrepaired", _("returned unrepaired")
    PARTLY_REPAIRED = "partly_repaired", _("partly repaired")
    NO_FAULT_FOUND = "no_fault_found", _("no fault found")
    REFUSED_AT_INTAKE = "refused_at_intake", _("refused at intake")
    RECYCLED = "recycled", _("recycled")
    KEPT_FOR_PARTS = "kept_for_parts", _("kept for parts")
    UNCLAIMED = "unclaimed", _("unclaimed")


class Visit(models.TextChoices):
    """What a visit to the bench is for."""

    NONE = "", _("none")
    DIAGNOSIS = "diagnosis", _("diagnosis")
    WORK = "work", _("work")
    CLOSING = "closing", _("closing up")


class Unit(Versioned):
    """One item on one visit to the shop. Money is minor units of the shop's currency."""

    class Agreed(models.TextChoices):
        """Under what the shop may open the unit before a quote is approved."""

        NOTHING = "nothing", _("nothing agreed")
        FEE = "fee", _("a diagnosis fee")
        LIMIT = "limit", _("the spending limit")

    class Ending(models.TextChoices):
        """What has been decided about the work, once something has."""

        OPEN = "", _("open")
        REFUSED = "refused", _("refused at intake")
        DECLINED = "declined", _("declined by the customer")

    # Only here can a deposit keep a unit waiting: it has yet to come to a bench, or back to one.
    BEFORE_BENCH = (Stage.INTAKE, Stage.QUEUE)

    trail_kind = "unit"
    number = models.PositiveIntegerField(unique=True)
    customer = models.ForeignKey(Customer, null=True, blank=True, on_delete=models.PROTECT, related_name="units")
    model = models.ForeignKey(DeviceModel, on_delete=models.PROTECT, related_name="units")
    revision = models.ForeignKey(BoardRevision, null=True, blank=True, on_delete=models.PROTECT, related_name="units")
    edition = models.ForeignKey(
        BoardEdition, null=True, blank=True, on_delete=models.PROTECT, related_name="units",
        help_text="What it is worked from, whatever the library learns later",
    )  # fmt: skip
    variant = models.CharField(max_length=30, blank=True)
    serial = models.CharField(max_length=60, blank=True)
    complaint = models.TextField(blank=True)
    came_with = models.TextField(blank=True)
    condition = models.TextField(blank=True)
    services = models.ManyToManyField(Service, related_name="+", blank=True)
    by_mail = models.BooleanField(default=False)
    stage = models.CharField(max_length=8, choices=Stage.choices, default=Stage.INTAKE)
    visit = models.CharField(max_length=10, choices=Visit.choices, blank=True, default=Visit.NONE)
    opened = models.BooleanField(default=False, help_text="The case is open or its fasteners are out")
    diagnosed = models.BooleanField(default=False)
    ending = models.CharField(max_length=10, choices=Ending.choices, blank=True, default=Ending.OPEN)
    outcome = models.CharField(max_length=20, choices=Outcome.choices, blank=True)
    place = models.ForeignKey(Place, null=True, blank=True, on_delete=models.PROTECT, related_name="units")
    technician = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="units"
    )
    agreed = models.CharField(max_length=8, choices=Agreed.choices, default=Agreed.NOTHING)
    agreed_fee_minor = models.PositiveBigIntegerField(default=0)
    spending_limit_minor = models.PositiveBigIntegerField(default=0, help_text="With tax, cumulative; 0 is none")
    cable = models.CharField(max_length=80, blank=True)
    display = models.CharField(max_length=80, blank=True)
    region = models.CharField(max_length=40, blank=True)
    earlier_unit = models.ForeignKey("self", null=True, blank=True, on_delete=models.PROTECT, related_name="comebacks")
    free_of_charge = models.BooleanField(null=True, blank=True)
    test_round = models.PositiveSmallIntegerField(default=1, help_text="Counts up when a failed test sends it back")
    promised_on = models.DateField(null=True, blank=True)
    promise_percent = models.PositiveSmallIntegerField(null=True, blank=True)
    received_at = models.DateTimeField(default=clock.now)
    stage_since = models.DateTimeField(default=clock.now)
    left_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name = _("unit")
        ordering = ["number"]
        constraints = [
            models.CheckConstraint(condition=Q(stage__in=Stage.values), name="units_unit_stage"),
            models.CheckConstraint(
                condition=Q(outcome="", left_at=None) | (~Q(outcome="") & Q(left_at__isnull=False)),
                name="units_unit_left_with_outcome",
            ),
            models.CheckConstraint(condition=Q(outcome="") | Q(stage="pickup"), name="units_unit_leaves_from_pickup"),
            models.CheckConstraint(condition=(Q(visit="") ^ Q(stage="bench")) | Q(stage="testing"), name="units_visit"),
        ]
        indexes = [
            models.Index(fields=["stage", "stage_since"], name="units_unit_present", condition=Q(outcome="")),
            models.Index(fields=["model", "serial"], name="units_unit_seen_before"),
            models.Index(fields=["place"], name="units_unit_in_place", condition=Q(outcome="")),
        ]

    def __str__(self) -> str:
        return f"{self.number:04d}"

    @property
    def before_bench(self) -> bool:
        """Tell whether it has yet to come to a bench, or back to one."""
        return self.stage in self.BEFORE_BENCH

    @property
    def own(self) -> bool:
        """Tell whether the unit is the shop's own, bought to restore and sell."""
        return self.customer_id is None

    @property
    def band_digits(self) -> str:
        """Return the last three digits of the number, as they stand large on labels."""
        return f"{self.number % 1000:03d}"


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


class Consent(Row):
    """What somebody agreed to or not, with the very terms that were shown. Only grows."""

    class Kind(models.TextChoices):
        """What was asked."""

        SAVE_DATA = "save_data", _("save data may be lost")
        PICTURES = "pictures", _("pictures may be published")
        WORK = "work", _("terms of the work")

    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="consents")
    kind = models.CharField(max_length=12, choices=Kind.choices)
    terms = models.TextField()
    given = models.BooleanField()
    by_role = models.CharField(max_length=20)

    class Meta:
        verbose_name = _("consent")


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


class Hold(Row):
    """A recorded reason why a unit waits: open until it is lifted."""

    class Kind(models.TextChoices):
        """For what it waits."""

        APPROVAL = "approval", _("approval")
        DEPOSIT = "deposit", _("deposit")
        PARTS = "parts", _("parts")
        CUSTOMER = "customer", _("customer")
        OTHER = "other", _("other")

    # What people open and lift by hand. The others follow from the quote and from its deposit.
    BY_HAND = (Kind.PARTS, Kind.CUSTOMER, Kind.OTHER)

    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="holds")
    kind = models.CharField(max_length=10, choices=Kind.choices)
    words = models.CharField(max_length=200, blank=True)
    due_on = models.DateField(null=True, blank=True)
    lifted_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name = _("hold")
        ordering = ["created_at"]
        constraints = [
            models.UniqueConstraint(fields=["unit", "kind"], condition=Q(lifted_at=None), name="units_hold_open_once"),
        ]

    @property
    def by_hand(self) -> bool:
        """Tell whether people lift it by hand."""
        return self.kind in self.BY_HAND

    @property
    def keeps(self) -> bool:
        """Tell whether it keeps its unit waiting: a deposit does so only before the bench."""
        return self.kind != self.Kind.DEPOSIT or self.unit.before_bench


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


class Announcement(Row):
    """A unit that a customer means to send, before it is here. code goes into the parcel."""

    code = models.CharField(max_length=7, unique=True, default=new_code)
    name = models.CharField(max_length=120)
    email = models.EmailField()
    phone = models.CharField(max_length=20, blank=True)
    device = models.CharField(max_length=120)
    complaint = models.TextField()
    unit = models.OneToOneField(Unit, null=True, blank=True, on_delete=models.PROTECT, related_name="announcement")

    class Meta:
        verbose_name = _("announcement")
        ordering = ["created_at"]


class Waiting(Row):
    """Somebody on the waiting list while the shop is full."""

    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="waiting")
    device = models.CharField(max_length=120)
    words = models.TextField(blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name = _("waiting list entry")
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


class CustomerLink(Row):
    """A private link to a unit's page. The secret is never stored, only its hash."""

    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="links")
    token_hash = models.CharField(max_length=64, unique=True)
    revoked_at = models.DateTimeField(null=True, blank=True)
    seen_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name = _("customer link")
        constraints = [
            models.UniqueConstraint(fields=["unit"], condition=Q(revoked_at=None), name="units_link_one_open"),
        ]
