"""The core's tables: the shop's profile, the trail, photos, answers kept for repeats, counters."""

import uuid

from django.db import models
from django.utils.translation import gettext_lazy as _

from shop.core import clock


class Row(models.Model):
    """Base of the tables that people and programs refer to: a random public id and when the row was written."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    created_at = models.DateTimeField(default=clock.now, editable=False)

    class Meta:
        abstract = True


class Versioned(Row):
    """A row that pages change: the version they showed must still be the stored one."""

    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        abstract = True


class TaxBasis(models.TextChoices):
    """What is rounded: each line's tax, or once the tax of the whole document. A seller elects one."""

    DOCUMENT = "document", _("once for the document")
    ITEM = "item", _("line by line")


class TaxRounding(models.TextChoices):
    """How a part of the smallest unit is rounded; see `core.money.Rounding`."""

    HALF_UP = "half_up", _("to the nearest, half up")
    HALF_EVEN = "half_even", _("to the nearest, half to even")
    DOWN = "down", _("down")
    UP = "up", _("up")


class ShopProfile(models.Model):
    """What the shop says of itself, and the figures it works with. Exactly one row."""

    only = models.PositiveSmallIntegerField(primary_key=True, default=1, editable=False)
    version = models.PositiveIntegerField(default=1, editable=False)
    name = models.CharField(max_length=80)
    street = models.CharField(max_length=120, blank=True)
    town = models.CharField(max_length=120, blank=True)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=30, blank=True)
    currency = models.CharField(max_length=3, default="USD")
    locale = models.CharField(max_length=12, default="en-US")
    time_zone = models.CharField(max_length=40, default="UTC")
    phone_region = models.CharField(max_length=2, default="US")
    # Tax figures are for review by a person: the rate is what the owner entered, in parts of 100,000 (8.875 % = 8875).
    tax_rate_millipercent = models.PositiveIntegerField(default=0)
    tax_name = models.CharField(max_length=30, default="Sales tax")
    diagnosis_fee_minor = models.PositiveBigIntegerField(default=0)
    quote_days = models.PositiveSmallIntegerField(default=14)
    reminder_days = models.PositiveSmallIntegerField(default=4)
    warranty_days = models.PositiveSmallIntegerField(default=90)
    minutes_per_day = models.PositiveSmallIntegerField(default=300)
    # How prices are written and tax is rounded; see `ledger.tax`.
    prices_include_tax = models.BooleanField(default=False)
    tax_reduced_millipercent = models.PositiveIntegerField(default=0)
    tax_basis = models.CharField(max_length=8, choices=TaxBasis.choices, default=TaxBasis.DOCUMENT)
    tax_rounding = models.CharField(max_length=10, choices=TaxRounding.choices, default=TaxRounding.HALF_UP)
    # What quotes are reckoned with; see `quotes.pricing`. Money is in minor units of the currency.
    labour_rate_minor = models.PositiveBigIntegerField(default=0, help_text="for an hour, before tax; 0: services only")
    labour_step_minutes = models.PositiveSmallIntegerField(default=15)
    urgency_millipercent = models.PositiveIntegerField(default=0)
    insurance_millipercent = models.PositiveIntegerField(default=0)
    insurance_least_minor = models.PositiveBigIntegerField(default=0)
    fee_credited = models.BooleanField(default=True, help_text="the diagnosis fee is part of an approved quote's work")
    deposit_percent = models.PositiveSmallIntegerField(default=0)
    deposit_from_minor = models.PositiveBigIntegerField(default=0)
    payment_link = models.CharField(max_length=300, blank=True)
    payment_words = models.TextField(blank=True)
    # Messages wait until the morning between these, in the customer's zone; several within the minutes become one.
    quiet_from = models.TimeField(null=True, blank=True)
    quiet_until = models.TimeField(null=True, blank=True)
    digest_minutes = models.PositiveSmallIntegerField(default=2)
    # How sure a promised date is, and whose public holidays are kept: a country, or country-region.
    promise_percent = models.PositiveSmallIntegerField(default=80)
    holidays_of = models.CharField(max_length=10, blank=True)
    packing_words = models.TextField(blank=True)
    terms_save_data = models.TextField(
        default="Save data in the unit or on its cards may be lost during the work. The shop cannot restore it."
    )
    terms_pictures = models.TextField(
        default="The shop may publish pictures of the work, without names, codes or serial numbers."
    )
    terms_work = models.TextField(
        default="Work that has begun cannot always be undone. Parts that are taken out are kept until pickup. "
        "Nothing here limits rights that the law of your place gives you."
    )

    class Meta:
        verbose_name = _("shop profile")
        constraints = [models.CheckConstraint(condition=models.Q(only=1), name="core_profile_only_one")]

    def __str__(self) -> str:
        return self.name


class Counter(models.Model):
    """The last number given out in a series."""

    series = models.CharField(primary_key=True, max_length=40)
    value = models.PositiveBigIntegerField()


class PersonalText(Row):
    """Words about or by a person, kept apart from the trail so that they can be erased there."""

    salt = models.CharField(max_length=32)
    text = models.TextField(blank=True)
    erased_at = models.DateTimeField(null=True, blank=True)


class TrailEntry(models.Model):
    """One line of a subject's history. Rows are only ever added: the database refuses anything else.

    facts is canonical JSON kept as text, since it is hashed. note points to words that may be erased; their salted
    hash stays.
    """

    id = models.BigAutoField(primary_key=True)
    subject_kind = models.CharField(max_length=20)
    subject_id = models.UUIDField()
    seq = models.PositiveIntegerField()
    happened_at = models.DateTimeField()
    recorded_at = models.DateTimeField()
    actor_role = models.CharField(max_length=20)
    actor_id = models.CharField(max_length=60, blank=True)
    device = models.CharField(max_length=80, blank=True)
    client_key = models.CharField(max_length=80, blank=True)
    what = models.CharField(max_length=40)
    before = models.CharField(max_length=120, blank=True)
    after = models.CharField(max_length=120, blank=True)
    facts = models.TextField(default="{}")
    note = models.ForeignKey(PersonalText, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    note_hash = models.CharField(max_length=64, blank=True)
    previous_hash = models.CharField(max_length=64, blank=True)
    entry_hash = models.CharField(max_length=64)

    class Meta:
        verbose_name = _("trail entry")
        ordering = ["subject_id", "seq"]
        constraints = [models.UniqueConstraint(fields=["subject_id", "seq"], name="core_trail_one_seq")]
        indexes = [models.Index(fields=["recorded_at"], name="core_trail_recorded")]


class TrailSeal(models.Model):
    """How many rows the trail had up to a certain one, and a digest of them all: rows cut off its end show.

    Only grows. A seal covers the rows after the one before it, and carries that one's digest.
    """

    id = models.BigAutoField(primary_key=True)
    sealed_at = models.DateTimeField(default=clock.now)
    up_to = models.BigIntegerField(unique=True)
    rows = models.PositiveIntegerField()
    digest = models.CharField(max_length=64)

    class Meta:
        verbose_name = _("seal of the trail")
        ordering = ["up_to"]


class Photo(Row):
    """A picture, re-encoded and stripped, named by the SHA-256 of its bytes; equal pictures share a file."""

    sha256 = models.CharField(max_length=64, db_index=True)
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()
    size_bytes = models.PositiveIntegerField()
    added_by = models.CharField(max_length=60, blank=True)


class KeptAnswer(models.Model):
    """What was answered to a request with an idempotency key, so that a repeat gets the same and does nothing."""

    id = models.BigAutoField(primary_key=True)
    owner = models.CharField(max_length=80)
    key = models.CharField(max_length=80)
    fingerprint = models.CharField(max_length=64)
    status = models.PositiveSmallIntegerField(default=0)
    body = models.TextField(blank=True)
    created_at = models.DateTimeField(default=clock.now, db_index=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["owner", "key"], name="core_answer_one_key")]


class Claimable(models.Model):
    """Base of rows that a worker must handle once: due, claimed for a while, then done or given up.

    See `shop.core.duework` for the moves between these states.
    """

    class State(models.TextChoices):
        """Where the work stands."""

        DUE = "due", _("due")
        CLAIMED = "claimed", _("being handled")
        DONE = "done", _("done")
        FAILED = "failed", _("failed")
        CANCELLED = "cancelled", _("cancelled")

    state = models.CharField(max_length=10, choices=State.choices, default=State.DUE)
    due_at = models.DateTimeField(default=clock.now)
    lease_until = models.DateTimeField(null=True, blank=True)
    claim = models.UUIDField(null=True, blank=True)
    attempts = models.PositiveSmallIntegerField(default=0)

    class Meta:
        abstract = True


class DueWork(Row, Claimable):
    """A wish of a lower room to wake a higher one: the name of a Celery task and the id to hand to it.

    One open wish for a (task, subject): ringing twice is ringing once.
    """

    task = models.CharField(max_length=80)
    subject = models.CharField(max_length=60)
    error = models.TextField(blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["task", "subject"], condition=models.Q(state="due"), name="core_due_work_once"
            ),
        ]
        indexes = [models.Index(fields=["state", "due_at"], name="core_due_work_due")]
