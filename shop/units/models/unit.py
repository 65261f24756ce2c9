"""A unit, where in its journey it is, and why it waits."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from shop.boards.models import BoardEdition, BoardRevision, DeviceModel, Service
from shop.core import clock
from shop.core.models import Row, Versioned
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
