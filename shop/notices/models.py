"""Messages to people. A notice is what is to be told; an envelope is what a worker sends."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from shop.core.models import Claimable, Row
from shop.people.models import Customer
from shop.units.models import Unit


class Event(models.TextChoices):
    """What a notice tells."""

    ANNOUNCED = "announced", _("announced")
    RECEIVED = "received", _("received")
    QUOTE_READY = "quote_ready", _("quote ready")
    QUOTE_REMINDER = "quote_reminder", _("quote reminder")
    QUOTE_WITHDRAWN = "quote_withdrawn", _("quote taken back")
    QUOTE_EXPIRED = "quote_expired", _("quote ran out")
    QUESTION_ANSWERED = "question_answered", _("question answered")
    APPROVED = "approved", _("approved")
    DECLINED = "declined", _("declined")
    DEPOSIT_ASKED = "deposit_asked", _("deposit asked for")
    DEPOSIT_PAID = "deposit_paid", _("deposit paid or waived")
    STARTED = "started", _("started")
    PROMISE_MOVED = "promise_moved", _("promise moved")
    READY = "ready", _("ready")
    SHIPPED = "shipped", _("shipped")
    COLLECTED = "collected", _("collected")
    LINK_RENEWED = "link_renewed", _("link renewed")


class Delivery(models.TextChoices):
    """What is heard of a message after it was handed over."""

    DELIVERED = "delivered", _("delivered")
    DELAYED = "delayed", _("on its way for long")
    BOUNCED = "bounced", _("came back")
    # The shop has looked to the address: what came back before counts no more.
    CLEARED = "cleared", _("address looked to")


class Envelope(Row, Claimable):
    """One message through one channel: it owns the claim and the Message-ID that stays the same at every try.

    recipient is whom it is for (a customer's id, or an address). It takes further notices while it is due and
    open_until is set: there is one such envelope for a recipient at most, and a claim closes it. held_until is the end
    of the quiet hours that it waits for. reference is the gateway's own number for it, delivery what was heard since
    it was handed over. trial holds wording that the owner tries out: such an envelope has no notices.
    """

    channel = models.CharField(max_length=8, default="email")
    address = models.CharField(max_length=254, blank=True)
    language = models.CharField(max_length=8, default="en")
    message_id = models.CharField(max_length=120, unique=True)
    done_at = models.DateTimeField(null=True, blank=True)
    recipient = models.CharField(max_length=254, blank=True)
    open_until = models.DateTimeField(null=True, blank=True)
    held_until = models.DateTimeField(null=True, blank=True)
    reference = models.CharField(max_length=120, blank=True)
    delivery = models.CharField(max_length=10, choices=Delivery.choices, blank=True)
    trial = models.JSONField(null=True, blank=True)

    class Meta:
        verbose_name = _("message")
        ordering = ["-created_at"]
        indexes = [
            models.Index(fields=["state", "due_at"], name="notices_envelope_due"),
            models.Index(fields=["recipient", "created_at"], name="notices_envelope_recipient"),
            models.Index(fields=["reference"], name="notices_envelope_reference"),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["recipient"], condition=Q(state="due", open_until__isnull=False), name="notices_envelope_open"
            ),
        ]


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


class Report(Row):
    """What was heard of a message after it was handed over, or of an address. Only grows.

    final says that the address itself does not work, see `bounces.Returned.final`.
    """

    envelope = models.ForeignKey(Envelope, null=True, blank=True, on_delete=models.PROTECT, related_name="reports")
    address = models.CharField(max_length=254)
    delivery = models.CharField(max_length=10, choices=Delivery.choices)
    final = models.BooleanField(default=False)
    words = models.CharField(max_length=300, blank=True)

    class Meta:
        verbose_name = _("report of delivery")
        ordering = ["created_at"]
        indexes = [models.Index(fields=["address", "created_at"], name="notices_report_address")]


class Template(Row):
    """The owner's own wording of an event in one language, edition by edition. Only grows; the newest one is in force.

    standard says that this edition goes back to the wording that came with the program: its own words are empty.
    """

    event = models.CharField(max_length=20, choices=Event.choices)
    language = models.CharField(max_length=8)
    edition = models.PositiveIntegerField()
    standard = models.BooleanField(default=False)
    subject = models.CharField(max_length=150, blank=True)
    paragraphs = models.TextField(blank=True)
    short = models.CharField(max_length=600, blank=True)
    by = models.CharField(max_length=60, blank=True)

    class Meta:
        verbose_name = _("wording")
        ordering = ["event", "language", "edition"]
        constraints = [
            models.UniqueConstraint(fields=["event", "language", "edition"], name="notices_template_edition"),
        ]


class Group(models.TextChoices):
    """Messages that a customer may do without. What the contract needs is in none of them."""

    PROGRESS = "progress", _("that the work has begun")
    DATES = "dates", _("that the promised day has moved")
    REMINDERS = "reminders", _("reminders of a quote that waits")


class Unwanted(Row):
    """A customer does not want the messages of one group, from created_at until ended_at."""

    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="unwanted")
    group = models.CharField(max_length=10, choices=Group.choices)
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name = _("unwanted messages")
        constraints = [
            models.UniqueConstraint(
                fields=["customer", "group"], condition=Q(ended_at=None), name="notices_unwanted_once"
            ),
        ]
