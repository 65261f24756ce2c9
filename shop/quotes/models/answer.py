"""What a customer asked about an edition, and what was decided on it. Money is minor units."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from shop.core.models import PersonalText, Row
from shop.quotes.models.edition import QuoteVersion
from shop.units.models import Unit


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
