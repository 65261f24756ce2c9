"""Offers in numbered editions, their lines, what was asked about them, and what was decided. Money is minor units."""

import uuid

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from shop.boards.models import Service
from shop.core.models import PersonalText, Row, TaxBasis, TaxRounding, Versioned
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


_TAKES_OFF = ["discount", "credit"]


class LineFields(models.Model):
    """What a line of a quote says, on an edition and on a template for common jobs.

    unit_minor is the price of one; percent_millipercent, where it is not 0, makes the line a share of others instead
    (see `quotes.pricing`). An optional line is taken or left with its option; `one_of` names a group of options of
    which one is taken; `needs` names the option without which it makes no sense.
    """

    class Kind(models.TextChoices):
        """What is charged."""

        LABOUR = "labour", _("labour")
        PART = "part", _("part")
        POSTAGE = "postage", _("postage")
        INSURANCE = "insurance", _("insurance")
        FEE = "fee", _("fee")
        SURCHARGE = "surcharge", _("surcharge")
        DISCOUNT = "discount", _("discount")
        CREDIT = "credit", _("credit")

    class TaxClass(models.TextChoices):
        """Which of the shop's rates holds."""

        STANDARD = "standard", _("standard rate")
        REDUCED = "reduced", _("reduced rate")
        NONE = "none", _("no tax")

    class Source(models.TextChoices):
        """Whose part it is: that decides what it costs and what the shop can stand by."""

        SHOP = "shop", _("from the shop")
        CUSTOMER = "customer", _("brought by the customer")
        HARVESTED = "harvested", _("taken from another unit")

    position = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=10, choices=Kind.choices)
    words = models.CharField(max_length=160)
    service = models.ForeignKey(Service, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    part = models.ForeignKey(Part, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    quantity = models.PositiveIntegerField(default=1)
    unit_minor = models.BigIntegerField()
    discount_millipercent = models.PositiveIntegerField(default=0, help_text="Off this line, of its own sum")
    percent_millipercent = models.PositiveIntegerField(default=0)
    tax_class = models.CharField(max_length=10, choices=TaxClass.choices, default=TaxClass.STANDARD)
    optional = models.BooleanField(default=False)
    taken = models.BooleanField(default=True)
    one_of = models.CharField(max_length=60, blank=True)
    may_skip = models.BooleanField(default=False, help_text="None of the group may be taken either")
    needs = models.CharField(max_length=36, blank=True)
    why = models.CharField(max_length=300, blank=True, help_text="Why the unit needs it, for the customer")
    source = models.CharField(max_length=10, choices=Source.choices, default=Source.SHOP)

    class Meta:
        abstract = True
        ordering = ["position"]
        constraints = [
            models.CheckConstraint(condition=Q(quantity__gte=1), name="%(app_label)s_%(class)s_quantity"),
            models.CheckConstraint(
                condition=Q(optional=True) | Q(taken=True), name="%(app_label)s_%(class)s_must_be_taken"
            ),
            models.CheckConstraint(
                condition=Q(optional=True) | Q(one_of="", needs="", may_skip=False),
                name="%(app_label)s_%(class)s_only_options",
            ),
            models.CheckConstraint(
                condition=Q(kind__in=_TAKES_OFF, unit_minor__lte=0) | (~Q(kind__in=_TAKES_OFF) & Q(unit_minor__gte=0)),
                name="%(app_label)s_%(class)s_sign",
            ),
            models.CheckConstraint(condition=Q(discount_millipercent__lte=100_000), name="%(app_label)s_%(class)s_off"),
            models.CheckConstraint(
                condition=Q(percent_millipercent=0) | Q(kind__in=["discount", "surcharge"], unit_minor=0, quantity=1),
                name="%(app_label)s_%(class)s_share",
            ),
            models.CheckConstraint(
                condition=~Q(source="customer") | Q(unit_minor=0, kind="part"), name="%(app_label)s_%(class)s_brought"
            ),
        ]


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


class MarkupBand(models.Model):
    """What is added to the cost of parts that cost so much or more, up to the next band. Minor units."""

    from_cost_minor = models.PositiveBigIntegerField(unique=True)
    markup_millipercent = models.PositiveIntegerField()
    least_minor = models.PositiveBigIntegerField(default=0)

    class Meta:
        verbose_name = _("mark-up")
        ordering = ["from_cost_minor"]


class QuoteTemplate(Row):
    """Lines for a common job, to be put on a draft in one go."""

    trail_kind = "quote_template"
    name = models.CharField(max_length=80, unique=True)
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name = _("quote template")
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class TemplateLine(Row, LineFields):
    """One line of a template. option joins lines that are taken or left together."""

    template = models.ForeignKey(QuoteTemplate, on_delete=models.PROTECT, related_name="lines")
    option = models.CharField(max_length=36, blank=True)

    class Meta(LineFields.Meta):
        verbose_name = _("line of a quote template")
        constraints = [
            models.UniqueConstraint(fields=["template", "position"], name="quotes_templateline_position"),
            *LineFields.Meta.constraints,
        ]


class Question(Row):
    """What a customer asked on their page, and the shop's answer. The words lie where they can be erased."""

    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="questions")
    quote = models.ForeignKey(QuoteVersion, null=True, blank=True, on_delete=models.PROTECT, related_name="questions")
    asked = models.OneToOneField(PersonalText, on_delete=models.PROTECT, related_name="question")
    answer = models.ForeignKey(PersonalText, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    answered_at = models.DateTimeField(null=True, blank=True)
    answered_by = models.CharField(max_length=60, blank=True)

    class Meta:
        verbose_name = _("question")
        ordering = ["created_at"]
        constraints = [
            models.CheckConstraint(
                condition=Q(answer=None, answered_at=None) | Q(answer__isnull=False, answered_at__isnull=False),
                name="quotes_question_answered",
            ),
        ]
        indexes = [models.Index(fields=["created_at"], name="quotes_question_open", condition=Q(answered_at=None))]


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


class DecisionPaper(Row):
    """The PDF of a decision as it was made out once, with the hash that anyone can compare. Only grows."""

    decision = models.OneToOneField(Decision, on_delete=models.PROTECT, related_name="paper")
    pdf = models.BinaryField()
    pdf_sha256 = models.CharField(max_length=64, unique=True)

    class Meta:
        verbose_name = _("paper of a decision")
