"""The owner's wording of messages: what is in force, how it reads, and every edition of it."""

from functools import partial
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.urls import reverse
from django.utils import translation
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from shop.core.actor import Actor, may
from shop.core.middleware import POLICY
from shop.core.reasons import Missing, Reason, Refused
from shop.notices import queries
from shop.notices.actions import back_to_standard, keep_template, preview, try_out
from shop.notices.models import Event
from shop.notices.segments import measure
from shop.screens.http import act, no_such_act, page, staff_page

# The preview lies in a frame without a script, in the page's own policy: a message bears its style in attributes.
_POLICY = f"{POLICY}; style-src-attr 'unsafe-inline'"
_WORDS = ("subject", "paragraphs", "short")


@require_safe
@staff_page("notices.see")
def templates(request: HttpRequest, _actor: Actor) -> HttpResponse:
    """List every event with whose words it is told in."""
    language = request.GET.get("language", settings.LANGUAGES[0][0])
    context = {"rows": queries.all_templates(language), "language": language, "languages": settings.LANGUAGES}
    return page(request, "screens/notice_templates.html", context)


@require_safe
@staff_page("notices.see")
def template(request: HttpRequest, actor: Actor, event: str, language: str) -> HttpResponse:
    """Show one event's wording, how it reads, and its editions."""
    return _template(request, actor=actor, event=_event(event, language), language=language)


@require_POST
@staff_page("notices.change_templates")
def template_do(request: HttpRequest, actor: Actor, event: str, language: str, verb: str) -> HttpResponse:
    """Keep a wording, look at it, try it out, or go back to the standard one."""
    told = _event(event, language)
    again = partial(_template, actor=actor, event=told, language=language)
    if verb == "look":
        return again(request)

    def perform(post: QueryDict) -> str:
        given = {name: post.get(name, "") for name in _WORDS}
        seen = post.get("edition", "")
        edition = int(seen) if seen.isascii() and seen.isdigit() and len(seen) < 7 else 0
        if verb == "keep":
            keep_template(actor=actor, event=told, language=language, edition=edition, **given)
            messages.success(request, _("Kept. Messages are worded like this from now on."))
        elif verb == "standard":
            back_to_standard(actor=actor, event=told, language=language, edition=edition)
            messages.success(request, _("The standard wording is in force again."))
        elif verb == "try":
            sent = try_out(actor=actor, event=told, language=language, **given)
            messages.success(request, _("A message is on its way to {address}.").format(address=sent.address))
            return reverse("screens:notices")
        else:
            raise no_such_act(verb)
        return reverse("screens:notice-template", args=[event, language])

    return act(request, actor, perform, again)


def _event(event: str, language: str) -> Event:
    if event not in Event.values or language not in dict(settings.LANGUAGES):
        raise Missing(Reason("missing", {"thing": "wording", "sought": f"{event} {language}"}))
    return Event(event)


def _template(request: HttpRequest, *, actor: Actor, event: Event, language: str, reasons: Any = ()) -> HttpResponse:
    with translation.override(language):
        shown = queries.template(event, language)
    typed = {name: request.POST.get(name, getattr(shown, name)) for name in _WORDS}
    looked = None
    if not reasons:
        try:
            looked = preview(actor=actor, event=event, language=language, **typed)
        except Refused as refused:
            reasons = refused.reasons
    context = {
        "shown": shown,
        "typed": typed,
        "name": event.label,
        "preview": looked,
        "length": measure(looked.short) if looked else None,
        "may_change": may(actor, "notices.change_templates"),
    }
    answer = page(request, "screens/notice_template.html", context, reasons=reasons)
    answer.headers["Content-Security-Policy"] = _POLICY
    return answer
