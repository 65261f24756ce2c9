"""What joins a visit to its customer: announced, waited for, agreed to, and looked at through a private link."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from shop.core.models import Row
from shop.core.tagcode import new_code
from shop.people.models import Customer
from shop.units.models.unit import Unit


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
