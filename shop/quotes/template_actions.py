"""Templates for common jobs and the mark-up on parts: what the shop sets once and quotes are drafted with."""

from collections.abc import Sequence
from uuid import UUID

from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from shop.core import trail
from shop.core.actor import Actor, permit
from shop.core.locks import lock
from shop.core.profile import HISTORY
from shop.core.reasons import Reason, Refused
from shop.core.retiring import retire
from shop.core.rows import existing
from shop.core.text import words
from shop.quotes.content import option_of
from shop.quotes.drafting import SHARED
from shop.quotes.markup import Band, part_price
from shop.quotes.models import MarkupBand, QuoteTemplate, QuoteVersion, TemplateLine


def keep_as_template(*, actor: Actor, quote_id: UUID, name: str) -> QuoteTemplate:
    """Keep the lines of an edition as a template under a name; findings and donors of that one unit are left out.

    Raises Missing, or Refused with `template_empty`, `template_named_before`, `blank`, `too_long`.
    """
    permit(actor, "quotes.change_templates")
    called = words(name, label=_("The name"), field="name", limit=80)
    quote = existing(QuoteVersion.objects.prefetch_related("lines"), quote_id)
    lines = [line for line in quote.lines.all() if not (line.finding_id or line.donor_id)]
    if not lines:
        raise Refused(Reason("template_empty"))
    try:
        with transaction.atomic():
            template = QuoteTemplate.objects.create(name=called)
            TemplateLine.objects.bulk_create(
                TemplateLine(
                    template=template,
                    position=position,
                    option=option_of(line),
                    **{each: getattr(line, each) for each in SHARED},
                )
                for position, line in enumerate(lines, start=1)
            )
            trail.write(template, actor, "template_kept", facts={"lines": len(lines)})
    except IntegrityError:
        raise Refused(Reason("template_named_before", {"name": called}, "name")) from None
    return template


def retire_template(*, actor: Actor, template_id: UUID) -> QuoteTemplate:
    """Take a template out of use. Raises Missing."""
    permit(actor, "quotes.change_templates")
    with transaction.atomic():
        template = lock(QuoteTemplate, pk=template_id)
        retire(template, actor, "template_retired", before=template.name)
        return template


def templates() -> list[QuoteTemplate]:
    """Return the templates in use, with their lines, by name. Two queries."""
    return list(QuoteTemplate.objects.filter(retired_at=None).prefetch_related("lines"))


def set_markup(*, actor: Actor, bands: Sequence[Band]) -> None:
    """Replace the shop's mark-ups on the cost of parts. Raises Refused with `bands_from_nothing`."""
    permit(actor, "quotes.change_markup")
    ordered = sorted(bands, key=lambda band: band.from_cost_minor)
    try:
        part_price(0, ordered)
    except ValueError:
        raise Refused(Reason("bands_from_nothing", {}, "bands")) from None
    with transaction.atomic():
        MarkupBand.objects.all().delete()
        MarkupBand.objects.bulk_create(
            MarkupBand(
                from_cost_minor=band.from_cost_minor,
                markup_millipercent=band.markup_millipercent,
                least_minor=band.least_minor,
            )
            for band in ordered
        )
        trail.write(HISTORY, actor, "markup_changed", facts={"bands": len(ordered)})
