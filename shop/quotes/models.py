"""Offers in numbered editions, their lines, and what the customer decided. Money is minor units."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from shop.boards.models import Service
from shop.core.models import PersonalText, Row, Versioned
from shop.parts.models import Part
from shop.units.models import Finding, Unit


class QuoteVersion(Versioned):
    """One edition of a unit's quote. A sent edition no longer changes; a later one takes its place.

    content is what the customer is shown, as canonical JSON kept as text since it is hashed; empty in a draft.
    """

    class State(models.TextChoices):
        """What has become of it."""

        DRAFT = "draft", _("draft")
        SENT = "sent", _("sent")
        APPROVED = "approved", _("approved")
        DECLINED = "declined", _("declined")
        REPLACED = "replaced", _("replaced")
        EXPIRED = "expired", _("expired")
        WITHDRAWN = "withdrawn", _("withdrawn")

    trail_kind = "quote"
    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="quotes")
    edition = models.PositiveSmallIntegerField()
    state = models.CharField(max_length=10, choices=State.choices, default=State.DRAFT)
    currency = models.CharField(max_length=3)
    tax_name = models.CharField(max_length=30)
    tax_rate_millipercent = models.PositiveIntegerField()
    note = models.TextField(blank=True)
    valid_until = models.DateField(null=True, blank=True)
    sent_at = models.DateTimeField(null=True, blank=True)
    reminded_at = models.DateTimeField(null=True, blank=True)
    within_limit = models.BooleanField(default=False, help_text="Went ahead within the spending limit, unasked")
    content = models.TextField(blank=True)
    content_sha256 = models.CharField(max_length=64, blank=True)

    class Meta:
        verbose_name = _("quote")
        ordering = ["unit", "edition"]
        constraints = [
            models.UniqueConstraint(fields=["unit", "edition"], name="quotes_edition_once"),
            models.UniqueConstraint(
                fields=["unit"], condition=Q(state__in=["draft"]), name="quotes_one_draft"
            ),
            models.UniqueConstraint(fields=["unit"], condition=Q(state="sent"), name="quotes_one_sent"),
            models.UniqueConstraint(fields=["unit"], condition=Q(state="approved"), name="quotes_one_approved"),
            models.CheckConstraint(
                condition=Q(state="draft") ^ ~(Q(content="") | Q(content_sha256="")), name="quotes_frozen_when_sent"
            ),
            models.CheckConstraint(
                condition=Q(state="draft") | Q(sent_at__isnull=False, valid_until__isnull=False)
                | Q(within_limit=True),
                name="quotes_sent_with_date",
            ),
        ]  # fmt: skip


class QuoteLine(Row):
    """One line of an edition. unit_minor is the price of one, before tax."""

    class Kind(models.TextChoices):
        """What is charged."""

        LABOUR = "labour", _("labour")
        PART = "part", _("part")
        POSTAGE = "postage", _("postage")
        FEE = "fee", _("fee")
        DISCOUNT = "discount", _("discount")

    quote = models.ForeignKey(QuoteVersion, on_delete=models.PROTECT, related_name="lines")
    position = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=10, choices=Kind.choices)
    words = models.CharField(max_length=160)
    service = models.ForeignKey(Service, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    part = models.ForeignKey(Part, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    finding = models.ForeignKey(Finding, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    quantity = models.PositiveIntegerField(default=1)
    unit_minor = models.BigIntegerField()
    taxed = models.BooleanField(default=True)
    optional = models.BooleanField(default=False)
    taken = models.BooleanField(default=True)

    class Meta:
        verbose_name = _("quote line")
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(fields=["quote", "position"], name="quotes_line_position"),
            models.CheckConstraint(condition=Q(quantity__gte=1), name="quotes_line_quantity"),
            models.CheckConstraint(condition=Q(optional=True) | Q(taken=True), name="quotes_line_must_be_taken"),
            models.CheckConstraint(
                condition=Q(kind="discount", unit_minor__lte=0) | (~Q(kind="discount") & Q(unit_minor__gte=0)),
                name="quotes_line_sign",
            ),
        ]


class Decision(Row):
    """What was decided about an edition: exactly what was shown and chosen, its hash, when and from where. Only grows.

    The reason is a person's own words, so it lies where it can be erased; the trail keeps its salted hash.
    """

    class Kind(models.TextChoices):
        """Yes or no, and by whom."""

        APPROVED = "approved", _("approved")
        DECLINED = "declined", _("declined")
        WITHIN_LIMIT = "within_limit", _("went ahead within the limit")

    quote = models.OneToOneField(QuoteVersion, on_delete=models.PROTECT, related_name="decision")
    kind = models.CharField(max_length=14, choices=Kind.choices)
    content = models.TextField(help_text="Canonical JSON of what was shown and chosen")
    content_sha256 = models.CharField(max_length=64)
    total_minor = models.BigIntegerField()
    words = models.ForeignKey(PersonalText, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    by_role = models.CharField(max_length=20)
    by_id = models.CharField(max_length=60, blank=True)
    address = models.CharField(max_length=45, blank=True)
    agent = models.CharField(max_length=300, blank=True)

    class Meta:
        verbose_name = _("decision")

    @property
    def reason(self) -> str:
        """Return the reason that was given, in the person's words; empty when none was given or it was erased."""
        return self.words.text if self.words else ""
