"""Dates told to customers; who works when and can do what; the plans that were made from it."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from shop.boards.models import Service
from shop.core import clock
from shop.core.models import Row
from shop.people.models import Place
from shop.testing.models import TestPoint
from shop.units.models import Unit

_FORWARD = Q(ends__gt=F("begins")) | Q(ends="00:00")


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


class Fact(Row):
    """Base of what the owner says about working time and skills. One that no longer holds is retired."""

    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        abstract = True


class Shift(Fact):
    """When somebody works on a weekday (Monday is 0), on the shop's clock. Ends at 00:00 means until midnight."""

    technician = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="shifts")
    weekday = models.PositiveSmallIntegerField()
    begins = models.TimeField()
    ends = models.TimeField()

    class Meta:
        verbose_name = _("shift")
        ordering = ["technician", "weekday", "begins"]
        constraints = [
            models.CheckConstraint(condition=Q(weekday__lte=6), name="planning_shift_weekday"),
            models.CheckConstraint(condition=_FORWARD, name="planning_shift_forward"),
        ]


class DayOff(Fact):
    """Days on which somebody, or nobody at all, works; of one day perhaps only a part."""

    technician = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="days_off",
        help_text="Empty: the whole shop is closed",
    )  # fmt: skip
    from_day = models.DateField()
    until_day = models.DateField()
    begins = models.TimeField(null=True, blank=True)
    ends = models.TimeField(null=True, blank=True)
    words = models.CharField(max_length=120, blank=True)

    class Meta:
        verbose_name = _("day off")
        ordering = ["from_day"]
        constraints = [
            models.CheckConstraint(condition=Q(until_day__gte=F("from_day")), name="planning_day_off_forward"),
            models.CheckConstraint(
                condition=Q(begins=None, ends=None) | (Q(begins__isnull=False, ends__isnull=False) & _FORWARD),
                name="planning_day_off_part",
            ),
        ]


class ExtraDay(Fact):
    """A day that is worked though the week or a holiday says otherwise, such as one Saturday."""

    technician = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="extra_days",
        help_text="Empty: everybody",
    )  # fmt: skip
    day = models.DateField()
    begins = models.TimeField()
    ends = models.TimeField()

    class Meta:
        verbose_name = _("extra day")
        ordering = ["day"]
        constraints = [
            models.CheckConstraint(condition=_FORWARD, name="planning_extra_forward"),
        ]


class TechnicianSkill(Fact):
    """What somebody is able to do, and how fast: 100 percent is as estimated, 150 takes two thirds of the time."""

    technician = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="skills")
    skill = models.CharField(max_length=60)
    percent = models.PositiveSmallIntegerField(default=100)

    class Meta:
        verbose_name = _("skill")
        ordering = ["technician", "skill"]
        constraints = [
            models.UniqueConstraint(
                fields=["technician", "skill"], condition=Q(retired_at=None), name="planning_skill_once"
            ),
            models.CheckConstraint(condition=Q(percent__gte=10, percent__lte=400), name="planning_skill_percent"),
        ]


class RunsAlone(Fact):
    """What needs a bench and nobody at it: drying after a service, the soak that a test point asks for."""

    service = models.ForeignKey(Service, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    point = models.ForeignKey(TestPoint, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    minutes = models.PositiveIntegerField()

    class Meta:
        verbose_name = _("time on its own")
        ordering = ["created_at"]
        constraints = [
            models.CheckConstraint(condition=Q(minutes__gte=1), name="planning_runs_alone_minutes"),
            models.CheckConstraint(
                condition=Q(service__isnull=False, point=None) | Q(service=None, point__isnull=False),
                name="planning_runs_alone_of_one",
            ),
            models.UniqueConstraint(fields=["service"], condition=Q(retired_at=None), name="planning_alone_service"),
            models.UniqueConstraint(fields=["point"], condition=Q(retired_at=None), name="planning_alone_point"),
        ]


class Pin(Fact):
    """The owner's word that a unit stays with somebody."""

    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="pins")
    technician = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    words = models.CharField(max_length=200, blank=True)

    class Meta:
        verbose_name = _("pin")
        constraints = [
            models.UniqueConstraint(fields=["unit"], condition=Q(retired_at=None), name="planning_one_pin"),
        ]


class Precedence(Fact):
    """The owner's word that a unit goes before the others."""

    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="precedences")
    words = models.CharField(max_length=200, blank=True)

    class Meta:
        verbose_name = _("precedence")
        constraints = [
            models.UniqueConstraint(fields=["unit"], condition=Q(retired_at=None), name="planning_one_precedence"),
        ]


class Plan(models.Model):
    """One run of the planner: a newer generation takes the place of an older one once it has stored something.

    Lateness is what the planner minimises, weighted minutes after the promises; bound_minutes is proven to be the
    least that any plan has. notes are reasons as canonical JSON: what could not run, and why it failed.
    """

    class State(models.TextChoices):
        """Where the run stands."""

        RUNNING = "running", _("being made")
        DONE = "done", _("made")
        STOPPED = "stopped", _("stopped for a newer one")
        FAILED = "failed", _("failed")

    generation = models.BigAutoField(primary_key=True)
    made_at = models.DateTimeField(default=clock.now)
    state = models.CharField(max_length=8, choices=State.choices, default=State.RUNNING)
    effort = models.CharField(max_length=10, default="quick")
    stored_at = models.DateTimeField(null=True, blank=True, help_text="When its rows were last written; empty: none")
    ended_at = models.DateTimeField(null=True, blank=True)
    starts_at = models.DateTimeField(help_text="When slot 0 begins")
    how = models.CharField(max_length=10, blank=True)
    late_minutes = models.PositiveBigIntegerField(default=0)
    bound_minutes = models.PositiveBigIntegerField(default=0)
    seconds = models.FloatField(default=0)
    notes = models.TextField(default="[]")
    facts_sha256 = models.CharField(max_length=64, blank=True)

    class Meta:
        verbose_name = _("plan")
        ordering = ["generation"]
        constraints = [
            models.CheckConstraint(condition=Q(bound_minutes__lte=F("late_minutes")), name="planning_plan_bound"),
        ]

    @property
    def gap_percent(self) -> float:
        """Return how far the lateness may be above the least that is possible, in percent of it."""
        return 100 * (self.late_minutes - self.bound_minutes) / self.late_minutes if self.late_minutes else 0.0


class PlanStep(models.Model):
    """A piece of work in a plan: of which unit, by whom, where, from when until when (nights within are no work)."""

    id = models.BigAutoField(primary_key=True)
    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="steps")
    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="+")
    key = models.CharField(max_length=80)
    kind = models.CharField(max_length=10)
    words = models.CharField(max_length=160)
    technician = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    bench = models.ForeignKey(Place, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    bench_key = models.CharField(max_length=60, help_text="Which room of the bench; also where the shop names none")
    begins_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    minutes = models.PositiveIntegerField(help_text="Of work, by whoever does it")

    class Meta:
        verbose_name = _("planned step")
        ordering = ["begins_at", "id"]
        constraints = [
            models.UniqueConstraint(fields=["plan", "unit", "key"], name="planning_step_once"),
            models.CheckConstraint(condition=Q(ends_at__gt=F("begins_at")), name="planning_step_forward"),
        ]


class PlanUnit(models.Model):
    """What a plan says of one unit: when its work ends, the day that is sure enough, and why it lies where it does.

    why is a list of reasons as canonical JSON. late_minutes is how long after its promise the plan ends.
    """

    id = models.BigAutoField(primary_key=True)
    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="units")
    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="+")
    ends_at = models.DateTimeField()
    sure_on = models.DateField(null=True, blank=True)
    sure_percent = models.PositiveSmallIntegerField(null=True, blank=True)
    promise_chance_percent = models.PositiveSmallIntegerField(null=True, blank=True)
    late_minutes = models.PositiveIntegerField(default=0)
    off_since = models.DateField(
        null=True, blank=True, help_text="Since when every plan gave a later, or an earlier, day"
    )
    why = models.TextField(default="[]")

    class Meta:
        verbose_name = _("planned unit")
        constraints = [models.UniqueConstraint(fields=["plan", "unit"], name="planning_unit_once")]


class PlanUnplanned(models.Model):
    """A unit that a plan leaves out: it waits for something, or cannot be planned. The reason is code and facts."""

    id = models.BigAutoField(primary_key=True)
    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="unplanned")
    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="+")
    code = models.CharField(max_length=40)
    facts = models.TextField(default="{}")

    class Meta:
        verbose_name = _("unit left out")
        ordering = ["id"]
        constraints = [models.UniqueConstraint(fields=["plan", "unit"], name="planning_unplanned_once")]
