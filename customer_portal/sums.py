"""What the quote comes to as it is ticked, before it is answered: reckoned by the shop, so right to the cent.

With script the sums alone are fetched after each tick; without it a button loads the page with what is ticked.
"""

from collections.abc import Sequence

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.template.loader import render_to_string
from django.views.decorators.http import require_POST

from customer_portal.page import context, show
from customer_portal.views import with_link
from shop.core.reasons import sentence
from shop.units.models import Unit

CONFLICT = 409
_PARTS = {
    "lines": "customer/fixed_lines.html",
    "sums": "customer/sums.html",
    "reckoned": "customer/reckoned.html",
}


@require_POST
@with_link
def reckon(request: HttpRequest, units: Sequence[Unit], unit: Unit) -> HttpResponse:
    """Show the page as it is ticked, with what keeps it from being taken like this. Nothing is answered."""
    return show(request, units, unit)


@require_POST
@with_link
def sums(request: HttpRequest, units: Sequence[Unit], unit: Unit) -> HttpResponse:
    """Return the parts with sums as they are ticked, each option's price, and what keeps them from being taken.

    409 for a quote that is no longer the one on the form: the page is to be loaded again.
    """
    told = context(request, units, unit)
    quote = told["view"].quote
    if quote is None or not quote.open or quote.content_sha256 != request.POST.get("shown"):
        return JsonResponse({}, status=CONFLICT)
    told |= {"quote": quote, "currency": quote.currency}
    return JsonResponse(
        {
            "parts": {name: render_to_string(template, told) for name, template in _PARTS.items()},
            "options": {
                option.value: render_to_string("customer/option_price.html", told | {"option": option})
                for option in quote.options
            },
            "reasons": [sentence(reason) for reason in quote.not_allowed],
        }
    )
