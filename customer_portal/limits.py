"""How often a stranger may try: counted by network in the cache, in windows of ten minutes."""

import time

from django.core.cache import cache
from django.http import HttpRequest

from shop.core.addresses import network_of

WINDOW_S = 600


def address_of(request: HttpRequest) -> str:
    """Return the address that a request came from."""
    return str(request.META.get("REMOTE_ADDR", ""))


def too_often(request: HttpRequest, what: str, most: int) -> bool:
    """Count one try of what from this network, and tell whether there were more than most in this window.

    A count that the cache cannot keep exact under many tries at once may miss a few: it slows guessing down, and what
    is guessed at is long enough by itself.
    """
    key = _key(request, what)
    cache.add(key, 0, WINDOW_S)
    try:
        tries = cache.incr(key)
        cache.touch(key, WINDOW_S)  # a cache in files forgets sooner otherwise
    except ValueError:  # forgotten between the two calls
        return False
    return tries > most


def used_up(request: HttpRequest, what: str, most: int) -> bool:
    """Tell whether the tries are used up, without counting one."""
    return int(cache.get(_key(request, what), 0)) > most


def _key(request: HttpRequest, what: str) -> str:
    return f"tries:{what}:{network_of(address_of(request))}:{int(time.time()) // WINDOW_S}"
