"""A copy of a customer's page, kept for as long as nothing that it shows has changed, and a minute at the most.

Reading and writing the page costs far more than asking whether it is still true. What it shows besides the story of
its units is the shop's and the clock's: the first has a story as well, and for the clock there is the minute.
"""

import hashlib
import re

from django.core.cache import cache
from django.http import HttpRequest, HttpResponse
from django.middleware.csrf import get_token

_LONGEST_S = 60
_SECRET = re.compile(rb'(name="csrfmiddlewaretoken" value=")\w*"')


def name_of(request: HttpRequest, state: str, token: str) -> str:
    """Return the name under which this request's page is kept; "" where it is one of its own.

    state is what `shop.floor.customer_state` says of the link's units. A page with something typed, answered or
    refused belongs to one visit, and so does anything with a query in its address.
    """
    if not state or request.method != "GET" or request.META.get("QUERY_STRING"):
        return ""
    said = "\n".join((token, request.path, str(getattr(request, "LANGUAGE_CODE", "")), state))
    return f"customer-page:{hashlib.sha256(said.encode()).hexdigest()}"


def page(request: HttpRequest, name: str) -> HttpResponse | None:
    """Return the kept page with this visitor's own secret against forged forms, or None where none is kept."""
    kept = cache.get(name)
    if kept is None:
        return None
    secret = get_token(request).encode()
    return HttpResponse(_SECRET.sub(rb"\g<1>" + secret + b'"', kept))


def keep(name: str, answer: HttpResponse) -> None:
    """Keep a page that was answered in full, without the visitor's secret."""
    if name and answer.status_code == 200:
        cache.set(name, _SECRET.sub(rb'\g<1>"', answer.content), _LONGEST_S)
