"""What the owner says: who works when and can do what, what runs alone, which unit stays with whom or goes first."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from shop.boards.models import Service
from shop.core.models import Row
from shop.testing.models import TestPoint
from shop.units.models import Unit

_FORWARD = Q(ends__gt=F("begins")) | Q(ends="00:00")


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
