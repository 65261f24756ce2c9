"""Which placements a service is about: a rule of words, each a kind or a designator. Pure."""

from collections.abc import Iterable, Sequence
from fnmatch import fnmatchcase

from shop.boards.spots import Fit, Kind, Spot

CAPACITORS = frozenset({Kind.ELECTROLYTIC, Kind.TANTALUM, Kind.CERAMIC, Kind.FILM, Kind.CAPACITOR})
KINDS = frozenset(kind.value for kind in Kind)


def selected(spots: Iterable[Spot], rule: Sequence[str], *, variant: str = "") -> tuple[Spot, ...]:
    """Return the placements that a rule means, those that this variant leaves empty taken out, in the given order.

    A word of the rule is a kind (`electrolytic`) or a designator in which * stands for any signs (`C6*`). Without a
    known variant, what depends on it is kept, so that somebody looks; an empty rule selects nothing.
    """
    return tuple(spot for spot in spots if _is_there(spot, variant) and any(_means(word, spot) for word in rule))


def _means(word: str, spot: Spot) -> bool:
    return spot.kind == word if word in KINDS else fnmatchcase(spot.designator, word)


def _is_there(spot: Spot, variant: str) -> bool:
    if spot.fit == Fit.VARIANT and variant:
        return variant in spot.variants
    return spot.fit != Fit.EMPTY
