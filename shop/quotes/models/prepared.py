"""What stands ready before there is a quote: the mark-up on parts, and lines for common jobs. Money is minor units."""

from django.db import models
from django.utils.translation import gettext_lazy as _

from shop.core.models import Row
from shop.quotes.models.line_fields import LineFields


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
