"""The reader's language: from the browser, until somebody chooses; the choice holds for the messages as well."""

from collections.abc import Sequence

from django.conf import settings
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from customer_portal.views import SEE_OTHER, customer, with_link
from shop.people.actions import choose_language
from shop.units.models import Unit

_AGE_S = 60 * 60 * 24 * 365


@require_POST
@with_link
def change(request: HttpRequest, units: Sequence[Unit], unit: Unit) -> HttpResponse:
    """Keep the language that was chosen; one that the shop does not speak changes nothing."""
    chosen = request.POST.get("language", "")
    back = reverse("customer:page") if unit is units[0] else reverse("customer:unit", args=[unit.number])
    answer = HttpResponseRedirect(back, status=SEE_OTHER)
    if chosen in dict(settings.LANGUAGES):
        answer.set_cookie(
            settings.LANGUAGE_COOKIE_NAME, chosen, max_age=_AGE_S, secure=settings.HTTPS, httponly=True, samesite="Lax"
        )
        if unit.customer_id:
            choose_language(actor=customer(request, units), customer_id=unit.customer_id, language=chosen)
    return answer
