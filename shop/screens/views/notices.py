"""Messages to customers: what failed for good, and what went out."""

from typing import Any

from django.http import HttpRequest, HttpResponse, QueryDict
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from shop.core.actor import Actor
from shop.notices.actions import send_again
from shop.notices.queries import failed, recent
from shop.screens.http import act, page, staff_page
from shop.screens.verbs.common import needed_uuid


@require_safe
@staff_page("notices.see")
def notices(request: HttpRequest, _actor: Actor) -> HttpResponse:
    """Show failed messages first, then the last ones."""
    return _notices(request)


def _notices(request: HttpRequest, reasons: Any = ()) -> HttpResponse:
    context = {"failed": failed(), "recent": recent(), "reasons": reasons}
    return page(request, "screens/notices.html", context, status=422 if reasons else 200)


@require_POST
@staff_page("notices.resend")
def again(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Send a failed message again."""

    def perform(post: QueryDict) -> str:
        send_again(actor=actor, envelope_id=needed_uuid(post, "message", "Message"))
        return reverse("screens:notices")

    return act(request, actor, perform, _notices)
