"""The numbered editions of a unit's quote, and their lines."""

import uuid

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from shop.core.models import Row, TaxBasis, TaxRounding, Versioned
from shop.quotes.models.line_fields import LineFields
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
    # The shop's elections on the day, copied, so that an edition is always reckoned as it was.
    tax_reduced_millipercent = models.PositiveIntegerField(default=0)
    prices_include_tax = models.BooleanField(default=False)
    tax_basis = models.CharField(max_length=8, choices=TaxBasis.choices, default=TaxBasis.DOCUMENT)
    tax_rounding = models.CharField(max_length=10, choices=TaxRounding.choices, default=TaxRounding.HALF_UP)
    note = models.TextField(blank=True)
    why_changed = models.CharField(max_length=300, blank=True, help_text="Why there is a new edition, for the customer")
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


class QuoteLine(Row, LineFields):
    """One line of an edition. key stays the same from edition to edition, so that changes show line by line."""

    quote = models.ForeignKey(QuoteVersion, on_delete=models.PROTECT, related_name="lines")
    key = models.UUIDField(default=uuid.uuid4)
    finding = models.ForeignKey(Finding, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    donor = models.ForeignKey(Unit, null=True, blank=True, on_delete=models.PROTECT, related_name="+")

    class Meta(LineFields.Meta):
        verbose_name = _("quote line")
        constraints = [
            models.UniqueConstraint(fields=["quote", "position"], name="quotes_line_position"),
            models.UniqueConstraint(fields=["quote", "key"], name="quotes_line_key"),
            models.CheckConstraint(
                condition=Q(source="harvested") ^ Q(donor=None), name="quotes_line_harvested_names_donor"
            ),
            *LineFields.Meta.constraints,
        ]
