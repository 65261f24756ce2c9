"""For whom figures and dates are written: the shop by default, a customer on their own page and in their messages."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from babel import Locale, UnknownLocaleError

from shop.core.profile import profile

_LOCALE: ContextVar[str] = ContextVar("reader's locale", default="")


def reader_locale() -> str:
    """Return the locale to write for, with an underscore: the reader's inside `written_for`, else the shop's."""
    return _LOCALE.get() or profile().locale.replace("-", "_")


@contextmanager
def written_for(language: str) -> Iterator[str]:
    """Write amounts and days for a reader of a language (like "de") inside the block; yields the locale.

    It is the shop's own locale for the shop's own language, else the language as it is written in the shop's country
    where the CLDR knows that, else the language alone.
    """
    token = _LOCALE.set(_locale_for(language, profile().locale.replace("-", "_")))
    try:
        yield _LOCALE.get()
    finally:
        _LOCALE.reset(token)


def _locale_for(language: str, shops: str) -> str:
    home = Locale.parse(shops)
    wanted = language.replace("-", "_").split("_", 1)[0]
    if wanted == home.language:
        return shops
    for name in (f"{wanted}_{home.territory}", wanted):
        try:
            return str(Locale.parse(name))
        except (UnknownLocaleError, ValueError):
            continue
    return shops
