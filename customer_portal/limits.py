"""How often a stranger may try: counted by address in the cache, forgotten after a while."""

from django.core.cache import cache
from django.http import HttpRequest

WINDOW_S = 600


def address_of(request: HttpRequest) -> str:
    """Return the address that a request came from."""
    return str(request.META.get("REMOTE_ADDR", ""))


def too_often(request: HttpRequest, what: str, most: int) -> bool:
    """Count one try of what from this address, and tell whether there were more than most within ten minutes."""
    key = f"tries:{what}:{address_of(request)}"
    cache.add(key, 0, WINDOW_S)
    try:
        return cache.incr(key) > most
    except ValueError:  # the count was forgotten between the two calls
        return False


def used_up(request: HttpRequest, what: str, most: int) -> bool:
    """Tell whether the tries are used up, without counting one."""
    return int(cache.get(f"tries:{what}:{address_of(request)}", 0)) > most
