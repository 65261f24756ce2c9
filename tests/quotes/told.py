"""Lines of a quote for cases that are worked by hand."""

from dataclasses import replace

from shop.quotes.lines import Line


def labour(unit_minor: int, **told: object) -> Line:
    return replace(Line("Recap", "labour", 1, unit_minor), **told)  # type: ignore[arg-type]


def part(unit_minor: int, **told: object) -> Line:
    return replace(Line("Capacitor", "part", 1, unit_minor), **told)  # type: ignore[arg-type]


def discount(minor: int, **told: object) -> Line:
    return replace(Line("Goodwill", "discount", 1, -minor), **told)  # type: ignore[arg-type]


def off(millipercent: int, **told: object) -> Line:
    return replace(Line("Club", "discount", 1, 0, percent_millipercent=millipercent), **told)  # type: ignore[arg-type]
