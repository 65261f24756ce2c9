"""Reading the customer's page as somebody with a German or a French browser does."""

import html
import re

from docs import translations
from shop.units.models import Unit
from tests.customer_portal.conftest import phone_of

NBSP, NARROW = "\u00a0", "\u202f"
LANGUAGES = translations.LANGUAGES
FIRST_QUESTION = {"en": "Where is it?", "de": "Wo ist es?", "fr": f"Où est-il{NARROW}?"}
_NAMED = re.compile(r"%\(\w+\)s|\{\w+\}")


def page_of(unit: Unit, browser: str, address: str = "/c/") -> str:
    """The page as a browser that asks for these languages gets it."""
    return str(phone_of(unit).get(address, headers={"Accept-Language": browser}).content.decode())


def texts_of(page: str) -> list[str]:
    """Everything on a page that is shown or read out, a piece for each run of text; narrow blanks stay as they are."""
    spoken = re.findall(r'(?:alt|aria-label|value)="([^"]*)"', page)
    pieces = [*re.split(r"<[^>]+>", page), *spoken]
    return [re.sub(r"[ \n\t]+", " ", html.unescape(piece)).strip() for piece in pieces if piece.strip()]


def english_in(page: str, language: str) -> list[str]:
    """The messages that a page says in English although the language has other words for them."""
    pieces = texts_of(page)
    told = "\n".join(pieces)
    found = []
    for message in translations.kept(language):
        originals = (message.id,) if isinstance(message.id, str) else tuple(message.id)
        for original in filter(None, originals):
            if original == message.string:
                continue
            words = _NAMED.sub("", original).replace("%%", "%")
            if len(re.findall(r"[A-Za-z]+", words)) < 2:
                seen = original in pieces
            else:
                parts = [re.escape(" ".join(part.replace("%%", "%").split())) for part in _NAMED.split(original)]
                seen = re.search(r"(?<![A-Za-z])" + r"\s?.{1,60}?\s?".join(parts) + r"(?![A-Za-z])", told) is not None
            if seen:
                found.append(original)
    return found
