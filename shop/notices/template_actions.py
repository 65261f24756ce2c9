"""The owner's wording: kept, gone back from, tried out. Faces call these through `shop.notices.actions`."""

from django.conf import settings
from django.db import transaction
from django.utils import translation
from django.utils.translation import gettext as _

from shop.core import clock
from shop.core.actor import Actor, permit
from shop.core.bell import ring
from shop.core.locks import unique
from shop.core.profile import profile
from shop.core.reader import written_for
from shop.core.reasons import Reason, Refused
from shop.core.text import choice
from shop.notices import editions, samples
from shop.notices.channels import EMAIL
from shop.notices.delivery import Message
from shop.notices.gathering import new_envelope
from shop.notices.models import Envelope, Event, Template
from shop.notices.rendering import Part, compose
from shop.notices.unsubscribing import ALL, group_of
from shop.notices.wishes import Route


def keep_template(
    *, actor: Actor, event: str, language: str, edition: int, subject: str, paragraphs: str, short: str = ""
) -> Template:
    """Keep the owner's own wording of an event in a language as its next edition. edition is the one that was seen.

    An empty short text leaves the standard text message. Raises Refused: `template_replaced`, `not_a_choice`, and
    what `editions.read` raises.
    """
    permit(actor, "notices.change_templates")
    told, spoken = _checked(event, language)
    words = {"subject": subject, "paragraphs": paragraphs, "short": short}
    editions.read(told, **words)
    kept = {name: text.replace("\r\n", "\n").strip() for name, text in words.items()}
    return _next_edition(actor, told, spoken, edition, standard=False, **kept)


def back_to_standard(*, actor: Actor, event: str, language: str, edition: int) -> Template:
    """Go back to the wording that came with the program, as a further edition; what was written is kept.

    Raises Refused: `template_replaced`, `template_standard`, `not_a_choice`.
    """
    permit(actor, "notices.change_templates")
    told, spoken = _checked(event, language)
    newest = editions.newest(told, spoken)
    if newest is None or newest.standard:
        raise Refused(Reason("template_standard"))
    return _next_edition(actor, told, spoken, edition, standard=True)


def preview(*, actor: Actor, event: str, language: str, subject: str, paragraphs: str, short: str = "") -> Message:
    """Return how a wording reads with invented facts, as e-mail and as text message. Nothing is written.

    Raises Refused as `keep_template` does.
    """
    permit(actor, "notices.see")
    told, spoken = _checked(event, language)
    shop = profile()
    with translation.override(spoken), written_for(spoken):
        words = editions.read(told, subject=subject, paragraphs=paragraphs, short=short)
        # The page behind this one stops nothing: it belongs to nobody.
        stop = f"{settings.SHOP_ADDRESS}/c/stop/{'0' * 43}/{group_of(told) or ALL}" if group_of(told) else ""
        envelope = Envelope(channel=EMAIL, address=shop.email, language=spoken)
        return compose(envelope, [Part(told, samples.known(told, shop), words)], shop, stop=stop)


def try_out(*, actor: Actor, event: str, language: str, subject: str, paragraphs: str, short: str = "") -> Envelope:
    """Send a wording with invented facts to the shop's own e-mail address, as any message is sent.

    Raises Refused: `no_shop_address`, and as `keep_template` does.
    """
    permit(actor, "notices.change_templates")
    told, spoken = _checked(event, language)
    words = {"subject": subject, "paragraphs": paragraphs, "short": short}
    editions.read(told, **words)
    address = profile().email
    if not address:
        raise Refused(Reason("no_shop_address"))
    with transaction.atomic():
        route = Route(EMAIL, address, spoken)
        envelope = new_envelope(route, "shop", due_at=clock.now(), trial={"event": told.value, **words})
        ring("notices.send", envelope.id)
    return envelope


def _checked(event: str, language: str) -> tuple[Event, str]:
    spoken = choice(language, [code for code, _name in settings.LANGUAGES], label=_("Language"), field="language")
    return Event(choice(event, Event.values, label=_("Event"), field="event")), spoken


def _next_edition(actor: Actor, event: Event, language: str, seen: int, *, standard: bool, **words: str) -> Template:
    """Write the edition after the one that was seen; whoever comes second is told so."""
    newest = editions.newest(event, language)
    now = newest.edition if newest else 0
    replaced = Reason("template_replaced", {"edition": max(now, seen + 1)})
    if seen != now:
        raise Refused(replaced)
    with transaction.atomic(), unique(replaced):
        return Template.objects.create(
            event=event, language=language, edition=now + 1, standard=standard, by=actor.name[:60], **words
        )
