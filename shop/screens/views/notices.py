"""Messages to customers: what failed, what waits, what went out, and what was heard of it since."""

from typing import Any

from django.http import HttpRequest, HttpResponse, QueryDict
from django.urls import reverse
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_POST, require_safe

from shop.core.actor import Actor, may
from shop.notices import queries
from shop.notices.actions import send_again
from shop.screens.http import act, page, staff_page
from shop.screens.verbs.common import needed_uuid

_FILTERS = (
    ("all", _("All")),
    ("failed", _("Failed")),
    ("waiting", _("Waiting")),
    ("held", _("Held for quiet hours")),
    ("sent", _("Sent")),
)


@require_safe
@staff_page("notices.see")
def notices(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Show failed messages first, then the last ones; or one sort of them alone."""
    return _notices(request, actor=actor)


def _notices(request: HttpRequest, actor: Actor, reasons: Any = ()) -> HttpResponse:
    which = request.GET.get("show", "all")
    context = {
        "filters": _FILTERS,
        "which": which,
        "failed": queries.failed() if which in ("all", "failed") else [],
        "recent": [] if which == "failed" else queries.shown(which),
        "may_resend": may(actor, "notices.resend"),
    }
    return page(request, "screens/notices.html", context, reasons=reasons)


@require_POST
@staff_page("notices.resend")
def again(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Send a failed message again."""

    def perform(post: QueryDict) -> str:
        send_again(actor=actor, envelope_id=needed_uuid(post, "message", "Message"))
        return reverse("screens:notices")

    return act(request, actor, perform, lambda asked, reasons: _notices(asked, actor, reasons))
