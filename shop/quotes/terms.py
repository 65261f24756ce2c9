"""The terms that a quote's own work makes matter, each shown where it is agreed. Nothing is saved here.

How they are worded is common practice and for review by the shop; none of them limits what the law of a place gives.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from django.utils.translation import gettext as _

from shop.boards.models import Service
from shop.core.models import ShopProfile
from shop.quotes.models import QuoteLine
from shop.units.models import Finding, Unit

# What makes a board that may not stand the work: seen on arrival or at the bench.
FRAGILE = frozenset(
    {Finding.Kind.EARLIER_WORK, Finding.Kind.LIFTED_PAD, Finding.Kind.BROKEN_TRACE, Finding.Kind.CORROSION,
     Finding.Kind.LIQUID, Finding.Kind.LEAK}
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Term:
    """One term. asks tells whether a yes has to be given to it by itself, with a tick of its own.

    options are those that call for it: it asks only of who takes one of them. Without any it asks always.
    """

    code: str
    words: str
    asks: bool = False
    options: tuple[str, ...] = ()

    def as_content(self) -> dict[str, object]:
        """Return it as it stands in an edition's content."""
        return {"code": self.code, "words": self.words, "asks": self.asks, "options": list(self.options)}


def terms_of(lines: Iterable[QuoteLine], unit: Unit, shop: ShopProfile) -> list[Term]:
    """Return the terms of an edition: the shop's own first, then those that its lines and findings call for.

    lines come with their services. One query, for the unit's findings.
    """
    lines = list(lines)
    sources = {line.source for line in lines}
    terms = [Term("work", shop.terms_work)]
    for_good = [line for line in lines if _cannot_be_undone(line.service)]
    if for_good:
        terms.append(_no_way_back(for_good))
    if _fragile(unit):
        terms.append(Term("fragile", _(
            "Earlier work, corrosion or damage was found. Pads and traces may come off however carefully we work. We "
            "stop and ask before anything is done that this quote does not name."
        ), asks=True))  # fmt: skip
    terms.append(Term("save_data", shop.terms_save_data))
    terms.append(Term("removed_parts", _(
        "Parts that we take out are kept in a labelled bag until you have the unit back. Tell us before then if you "
        "want them."
    )))  # fmt: skip
    if QuoteLine.Source.CUSTOMER in sources:
        terms.append(Term("brought_parts", _(
            "For parts that you bring we charge nothing and can give no warranty on the part; our work on them is "
            "covered."
        )))  # fmt: skip
    if QuoteLine.Source.HARVESTED in sources:
        terms.append(Term("harvested_parts", _(
            "A used part comes from another unit, named on its line. It was tested, and is not new."
        )))  # fmt: skip
    terms.append(Term("liability", _(
        "What we owe you if something goes wrong is a matter of the law of your place. Nothing here takes away a right "
        "that it gives you."
    )))  # fmt: skip
    return [term for term in terms if term.words.strip()]


def _no_way_back(for_good: list[QuoteLine]) -> Term:
    """Return the term of work that cannot be undone; where all of it is optional, it asks only of who takes it."""
    words = _(
        "Some of this work cannot be undone: legs are cut, holes are made or parts are added for good. The unit will "
        "not be as it was made."
    )
    always = any(not line.optional for line in for_good)
    options = () if always else tuple(sorted({str(line.service_id) for line in for_good}))
    return Term("no_way_back", words, asks=True, options=options)


def _cannot_be_undone(service: Service | None) -> bool:
    return service is not None and (bool(service.cuts) or service.nature == Service.Nature.MODIFICATION)


def _fragile(unit: Unit) -> bool:
    return unit.findings.filter(kind__in=FRAGILE).exists()
