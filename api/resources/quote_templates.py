"""Templates for common jobs, and the mark-up on the cost of parts."""

from uuid import UUID

from rest_framework import serializers

from api.fields import Given, GivenRow, Taken, minor, text, whole
from api.operation import Call, Endpoint, operation
from shop.core.rows import existing
from shop.quotes import template_actions
from shop.quotes.drafting import markup_bands
from shop.quotes.markup import Band
from shop.quotes.models import QuoteTemplate, QuoteVersion, TemplateLine


class TemplateLineOut(GivenRow):
    """One line of a template."""

    class Meta:
        model = TemplateLine
        fields = ["kind", "words", "quantity", "unit_minor", "optional", "one_of", "why"]


class TemplateOut(Given):
    """Lines for a common job, to be put on a draft by the operation `template`."""

    id = serializers.UUIDField()
    name = serializers.CharField()
    lines = TemplateLineOut(many=True, source="lines.all")


class TemplateIn(Taken):
    """What the job is called, and the quote whose lines are kept."""

    name = text(80, required=True)
    quote_id = serializers.UUIDField()


class Templates(Endpoint):
    """The templates in use."""

    @operation("list_quote_templates", verb="quotes.write", gives=TemplateOut, many=True)
    def get(self, call: Call) -> object:  # noqa: ARG002
        """List the templates in use, by name."""
        return template_actions.templates()

    @operation("keep_quote_template", verb="quotes.change_templates", takes=TemplateIn, gives=TemplateOut, status=201)
    def post(self, call: Call) -> QuoteTemplate:
        """Keep the lines of a quote as a template."""
        existing(QuoteVersion, call.data["quote_id"])
        return template_actions.keep_as_template(actor=call.actor, **call.data)


class RetireTemplate(Endpoint):
    """The end of a template."""

    @operation("retire_quote_template", verb="quotes.change_templates", gives=TemplateOut)
    def post(self, call: Call, template_id: UUID) -> QuoteTemplate:
        """Take a template out of use."""
        return template_actions.retire_template(actor=call.actor, template_id=template_id)


class BandIn(Taken):
    """A mark-up for parts that cost so much or more, up to the next band; 50 % is 50000."""

    from_cost_minor = minor()
    markup_millipercent = whole(0, 10_000_000)
    least_minor = minor()


class BandOut(Given):
    """A mark-up for parts that cost so much or more, up to the next band."""

    from_cost_minor = serializers.IntegerField()
    markup_millipercent = serializers.IntegerField()
    least_minor = serializers.IntegerField()


class BandsIn(Taken):
    """The mark-ups, from a cost of 0 upwards; they replace those there are. Empty: parts are sold at cost."""

    bands = BandIn(many=True, allow_empty=True)


class BandsOut(Given):
    """The mark-ups in force."""

    bands = BandOut(many=True)


class Markup(Endpoint):
    """What is added to the cost of parts."""

    @operation("get_markup", verb="quotes.write", gives=BandsOut)
    def get(self, call: Call) -> dict[str, object]:  # noqa: ARG002
        """Show the mark-ups."""
        return {"bands": markup_bands()}

    @operation("set_markup", verb="quotes.change_markup", takes=BandsIn, gives=BandsOut)
    def post(self, call: Call) -> dict[str, object]:
        """Replace the mark-ups."""
        bands = [Band(**band) for band in call.data["bands"]]
        template_actions.set_markup(actor=call.actor, bands=bands)
        return {"bands": markup_bands()}
