"""How often strangers and guessers may ask. Counted in the cache, by network address."""

import time

from django.core.cache import cache
from rest_framework.exceptions import Throttled
from rest_framework.request import Request
from rest_framework.throttling import SimpleRateThrottle
from rest_framework.views import APIView

from shop.core.addresses import network_of

GUESSES = 20
GUESS_WINDOW_S = 600


class Guesses:
    """Wrong tokens or links from one address: after `GUESSES` within ten minutes nothing is looked up for a while."""

    def __init__(self, what: str, address: str) -> None:
        self._key = f"guesses:{what}:{network_of(address).replace('/', '_')}"

    def refuse_many(self) -> None:
        """Raise Throttled when too many were wrong."""
        count, until = cache.get(self._key, (0, 0.0))
        if count >= GUESSES and until > time.time():
            raise Throttled(wait=until - time.time())

    def count(self) -> None:
        """Note that one was wrong. The window opens with the first and does not grow with the others."""
        count, until = cache.get(self._key, (0, 0.0))
        if until <= time.time():
            count, until = 0, time.time() + GUESS_WINDOW_S
        cache.set(self._key, (count + 1, until), timeout=GUESS_WINDOW_S)


class _ByAddress(SimpleRateThrottle):
    """Count requests of one sort from one network."""

    def get_cache_key(self, request: Request, view: APIView) -> str | None:  # noqa: ARG002
        """Return under which key this request counts."""
        network = network_of(str(request.META.get("REMOTE_ADDR", ""))).replace("/", "_")
        return f"throttle:{self.scope}:{network}"


class AnnounceThrottle(_ByAddress):
    """Anybody may announce a parcel, but not many: each sends a message."""

    scope = "announce"
    rate = "10/hour"

    def get_cache_key(self, request: Request, view: APIView) -> str | None:
        """Count what strangers send, not what staff read."""
        if request.user is not None or request.method != "POST":
            return None
        return super().get_cache_key(request, view)


class LinkThrottle(_ByAddress):
    """A customer's page asks every few seconds; a household behind one address has a few of them."""

    scope = "link"
    rate = "120/min"
