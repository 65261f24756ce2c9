"""What a line says, on an edition and on a template alike. Money is minor units."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from shop.boards.models import Service
from shop.parts.models import Part

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
