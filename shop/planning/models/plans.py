"""The plans that were made: their steps, what they say of each unit, and what they leave out."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from shop.core import clock
from shop.people.models import Place
from shop.units.models import Unit


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
