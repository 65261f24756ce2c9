"""Messages to people. A notice is what is to be told; an envelope is what a worker sends."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from shop.core.models import Claimable, Row
from shop.units.models import Unit


class Event(models.TextChoices):
    """What a notice tells."""

    ANNOUNCED = "announced", _("announced")
    RECEIVED = "received", _("received")
    QUOTE_READY = "quote_ready", _("quote ready")
    QUOTE_REMINDER = "quote_reminder", _("quote reminder")
    QUOTE_WITHDRAWN = "quote_withdrawn", _("quote taken back")
    APPROVED = "approved", _("approved")
    DECLINED = "declined", _("declined")
    STARTED = "started", _("started")
    READY = "ready", _("ready")
    SHIPPED = "shipped", _("shipped")
    COLLECTED = "collected", _("collected")


class Envelope(Row, Claimable):
    """One message through one channel: it owns the claim and the Message-ID that stays the same at every try."""

    channel = models.CharField(max_length=8, default="email")
    address = models.CharField(max_length=254)
    language = models.CharField(max_length=8, default="en")
    message_id = models.CharField(max_length=120, unique=True)
    done_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name = _("message")
        ordering = ["-created_at"]
        indexes = [models.Index(fields=["state", "due_at"], name="notices_envelope_due")]


class Notice(Row):
    """One thing to tell one recipient, once: `key` is what makes it the same thing (a quote version, a unit)."""

    event = models.CharField(max_length=20, choices=Event.choices)
    key = models.CharField(max_length=60)
    recipient = models.CharField(max_length=254)
    unit = models.ForeignKey(Unit, null=True, blank=True, on_delete=models.PROTECT, related_name="notices")
    facts = models.JSONField(default=dict)
    envelope = models.ForeignKey(Envelope, on_delete=models.PROTECT, related_name="notices")

    class Meta:
        verbose_name = _("notice")
        ordering = ["created_at"]
        constraints = [
            models.UniqueConstraint(fields=["event", "key", "recipient"], name="notices_notice_once"),
            models.CheckConstraint(condition=Q(event__in=Event.values), name="notices_notice_event"),
        ]


class Attempt(Row):
    """One try to send an envelope, and what came of it. Only grows."""

    envelope = models.ForeignKey(Envelope, on_delete=models.PROTECT, related_name="tries")
    ok = models.BooleanField()
    words = models.CharField(max_length=300, blank=True)

    class Meta:
        verbose_name = _("attempt")
        ordering = ["created_at"]
