"""What is done at the bench: the steps of a unit's job sheet, who worked when, fasteners out and back."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from shop.boards.models import Service
from shop.core.models import Photo, Row
from shop.people.models import Place
from shop.units.models import Unit


class JobStep(Row):
    """One step of a unit's job sheet, from a service or from the shop's own order of work."""

    class Evidence(models.TextChoices):
        """What must come with its tick."""

        NONE = "", _("nothing")
        PHOTO = "photo", _("a photo")
        VOLTS = "volts", _("a reading in volts")
        OHMS = "ohms", _("a reading in ohms")

    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="steps")
    service = models.ForeignKey(Service, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    position = models.PositiveSmallIntegerField()
    code = models.CharField(max_length=20, default="service", help_text="Which step of the outline; see outline.py")
    words = models.CharField(max_length=300)
    refs = models.JSONField(default=list, blank=True, help_text="The placements it is about, by designator")
    how = models.CharField(max_length=12, blank=True, help_text="With which equipment or care; see order.py")
    tool = models.CharField(max_length=160, blank=True)
    minutes = models.PositiveSmallIntegerField(default=0)
    evidence = models.CharField(max_length=8, blank=True, choices=Evidence.choices, default="")
    caution = models.CharField(max_length=600, blank=True)
    hold_point = models.BooleanField(default=False)
    done_at = models.DateTimeField(null=True, blank=True)
    done_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    photo = models.ForeignKey(Photo, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    retired_at = models.DateTimeField(null=True, blank=True, help_text="A later sheet took its place, undone")

    class Meta:
        verbose_name = _("step")
        ordering = ["unit", "position"]
        constraints = [
            models.UniqueConstraint(fields=["unit", "position"], name="work_step_position"),
            models.CheckConstraint(
                condition=Q(done_at=None, done_by=None) | Q(done_at__isnull=False, done_by__isnull=False),
                name="work_step_done_by_somebody",
            ),
            models.CheckConstraint(
                condition=Q(retired_at=None) | Q(done_at=None), name="work_step_done_is_never_retired"
            ),
        ]


class WorkInterval(Row):
    """A stretch of time somebody worked at a unit on a bench."""

    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="intervals")
    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="intervals")
    bench = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="+")
    began_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name = _("work interval")
        ordering = ["began_at"]
        constraints = [
            models.UniqueConstraint(fields=["unit"], condition=Q(ended_at=None), name="work_interval_one_open"),
            models.CheckConstraint(
                condition=Q(ended_at=None) | Q(ended_at__gte=F("began_at")), name="work_interval_forward"
            ),
        ]


class FastenerGroup(Row):
    """Fasteners of one kind from one place: how many came out, are back, and were written off by the owner as lost.

    Those that were missing when the unit came never came out, and so are no part of the account.
    """

    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="fasteners")
    label = models.CharField(max_length=3, blank=True, help_text="Its compartment in the bag and on the mat")
    where = models.CharField(max_length=60)
    kind = models.CharField(max_length=90, blank=True, help_text="Drive, bit, thread and length")
    length_mm = models.FloatField(null=True, blank=True)
    warning = models.CharField(max_length=200, blank=True, help_text="What a wrong one would damage here")
    missing_on_arrival = models.PositiveSmallIntegerField(default=0)
    out = models.PositiveSmallIntegerField()
    back = models.PositiveSmallIntegerField(default=0)
    written_off = models.PositiveSmallIntegerField(default=0)

    class Meta:
        verbose_name = _("fasteners")
        ordering = ["created_at"]
        constraints = [
            models.UniqueConstraint(fields=["unit", "label", "where", "kind"], name="work_fastener_place_once"),
            models.CheckConstraint(condition=Q(out__gte=1) | Q(missing_on_arrival__gte=1), name="work_fastener_out"),
            models.CheckConstraint(condition=Q(back__lte=F("out") - F("written_off")), name="work_fastener_back"),
        ]

    @property
    def missing(self) -> int:
        """Return how many are neither back nor written off."""
        return self.out - self.back - self.written_off

    @property
    def said(self) -> str:
        """Return the group in words: label, place and kind."""
        named = f"{self.label}: {self.where}" if self.label else self.where
        return f"{named} ({self.kind})" if self.kind else named
