"""Headers that keep a page from running what it should not."""

import ipaddress
from collections.abc import Callable
from contextlib import suppress
from itertools import chain
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse, HttpResponseBadRequest, QueryDict
from django.middleware.locale import LocaleMiddleware
from django.utils import translation
from django.utils.translation import gettext as _

from shop.core.profile import one_reading

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'; manifest-src 'self'; font-src 'self'"
)


class SecurityHeaders:
    """Set the content security policy and its companions on every answer that has not its own."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer, with the headers."""
        response = self.get_response(request)
        response.headers.setdefault("Content-Security-Policy", POLICY)
        response.headers.setdefault("Permissions-Policy", "camera=(self), geolocation=(), microphone=()")
        response.headers.setdefault("Cross-Origin-Resource-Policy", "same-origin")
        return response


class OneProfile:
    """Read the shop's profile once for a request, however many words and amounts are written with it."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer."""
        with one_reading():
            return self.get_response(request)


class CustomersLanguage(LocaleMiddleware):
    """Speak a customer's language on the customer's page: the one chosen there, else the browser's.

    The shop's own pages keep to the shop's language, since staff share a screen.
    """

    def process_request(self, request: HttpRequest) -> None:
        """Choose the language for this request."""
        if request.path.startswith("/c/"):
            super().process_request(request)
        else:
            translation.activate(settings.LANGUAGE_CODE)
            request.LANGUAGE_CODE = translation.get_language()


class CallersAddress:
    """Behind a proxy, take the caller's address from the last entry of X-Forwarded-For, the one our proxy wrote.

    Without this every customer would share the proxy's address, and with it one count of wrong tries. Earlier entries
    come from the caller and prove nothing.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer."""
        if settings.BEHIND_PROXY:
            said = request.headers.get("X-Forwarded-For", "").rsplit(",", 1)[-1].strip()
            # Without the header it is a health check, from beside the proxy.
            with suppress(ValueError):
                request.META["REMOTE_ADDR"] = str(ipaddress.ip_address(said))
        return self.get_response(request)


class NoNullCharacters:
    """Refuse a form or query that holds a null character: no keyboard types one, and PostgreSQL stores none.

    Views free of the CSRF check are the API's, which reads its body itself and answers in its own way.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer."""
        return self.get_response(request)

    def process_view(
        self, request: HttpRequest, view: Callable[..., HttpResponse], _args: Any, _kwargs: Any
    ) -> HttpResponse | None:
        """Answer 400 with a sentence, or let the view answer."""
        if getattr(view, "csrf_exempt", False) or not any(map(_has_null, (request.GET, request.POST))):
            return None
        words = _("The form holds a character that cannot be kept. Type it again.")
        return HttpResponseBadRequest(f"{words}\n", content_type="text/plain; charset=utf-8")


def _has_null(given: QueryDict) -> bool:
    return any("\0" in text for text in chain(given, *(values for _name, values in given.lists())))
