"""Reading what was typed, and doing a reckoning: text in, an answer or a refusal that names the figure out."""

import math
from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext as _

from shop.core.reasons import Missing, Reason, Refused
from shop.engineering.inputs import BadInput
from shop.reckoner.contents import RECKONINGS
from shop.reckoner.forms import Answer, Asked, Kind, Reckoning
from shop.reckoner.readings import reading_words
from shop.reckoner.showing import number

_LONGEST = 400


def reckoning(name: str) -> Reckoning:
    """Return the reckoning of a name. Raises Missing with `reckoning_unknown`."""
    if name not in RECKONINGS:
        raise Missing(Reason("reckoning_unknown", {"name": name[:60]}, "name"))
    return RECKONINGS[name]


def reckon(name: str, given: Mapping[str, Any]) -> Answer:
    """Work a reckoning out from figures as they were typed, in the units of its form.

    given maps names to text, numbers or truth values; what is left out takes the form's default. Raises Missing for an
    unknown reckoning, and Refused with a sentence that names the figure and its range.
    """
    asked_for = reckoning(name)
    _refuse_strangers(asked_for, given)
    figures = {each.key: read(each, given.get(each.name)) for each in asked_for.asks}
    try:
        return asked_for.work(figures)
    except BadInput as bad:
        raise Refused(_worded(asked_for, bad)) from bad


def given_figures(name: str, given: Mapping[str, Any]) -> dict[str, str]:
    """Return what a reckoning works with, as text in the units of its form: what was given, else the defaults."""
    return {
        each.name: str(given[each.name] if given.get(each.name) is not None else each.default)[:_LONGEST]
        for each in reckoning(name).asks
    }


def read(asked: Asked, typed: Any) -> Any:
    """Return one figure as the arithmetic takes it. Raises Refused."""
    if typed is None and asked.kind is not Kind.YES:
        typed = asked.default
    if asked.kind is Kind.YES:
        return typed in (True, "yes", "on", "true", "1", 1) if typed is not None else asked.default == "yes"
    text = str(typed).strip()[:_LONGEST]
    if not text:
        if asked.optional:
            return None
        raise Refused(Reason("figure_missing", {"label": asked.label}, asked.name))
    if asked.kind is Kind.CHOICE and text not in dict(asked.choices):
        choices = ", ".join(value for value, _label in asked.choices)
        facts = {"label": asked.label, "given": text[:60], "choices": choices}
        raise Refused(Reason("figure_not_one_of", facts, asked.name))
    return _number(asked, text) * asked.scale if asked.kind is Kind.NUMBER else text


def _number(asked: Asked, text: str) -> float:
    """Read a number with a decimal point or comma and any kind of minus sign."""
    plain = text.replace("\u2212", "-").replace("\u00a0", "").replace(" ", "").replace(",", ".")
    try:
        value = float(plain) if plain.isascii() and "_" not in plain else math.nan
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise Refused(Reason("figure_unreadable", {"label": asked.label, "given": text[:60]}, asked.name))
    return value


def _refuse_strangers(asked_for: Reckoning, given: Mapping[str, Any]) -> None:
    known = {each.name for each in asked_for.asks}
    for name in given:
        if name not in known:
            facts = {"name": str(name)[:60], "known": ", ".join(sorted(known))}
            raise Refused(Reason("figure_unknown", facts, str(name)[:60]))


def _worded(asked_for: Reckoning, bad: BadInput) -> Reason:
    """Word what the arithmetic refused, in the units and the words of the form."""
    asked = asked_for.asked(bad.name) or Asked(bad.name, bad.name.replace("_", " "))
    facts: dict[str, Any] = {"label": asked.label, "given": bad.facts.get("given", "")}
    if bad.code in ("out_of_range", "not_finite"):
        return Reason("figure_out_of_range", facts | _range(asked, bad), asked.name)
    if bad.code == "unreadable":
        return Reason("mark_unreadable", facts | {"like": _listed(bad.facts.get("like"))}, asked.name)
    if bad.code == "ambiguous":
        return Reason("mark_ambiguous", facts | {"readings": reading_words(bad.facts.get("readings"))}, asked.name)
    if bad.code == "not_one_of":
        return Reason("figure_not_one_of", facts | {"choices": _listed(bad.facts.get("choices"))}, asked.name)
    if bad.code == "not_as_many":
        return Reason("figures_not_as_many", facts | {"wanted": bad.facts.get("wanted", "")}, asked.name)
    own = {"capacity_not_known": Reason("capacity_not_known", facts, asked.name)} | _OWN
    return own.get(bad.code, Reason("figures_do_not_fit", facts, asked.name))


# What only one calculation refuses.
_OWN = {
    "wrong_way_round": Reason("bands_wrong_way_round", {}, "colours"),
    "limit_missing": Reason("limit_missing", {}, "low"),
    "ripple_above_rating": Reason("ripple_above_rating", {}, "ripple_ratio"),
}


def _listed(values: Any) -> str:
    return ", ".join(number(each) if isinstance(each, float) else str(each) for each in values or ())


def _range(asked: Asked, bad: BadInput) -> dict[str, str]:
    """Return the allowed range in words and the value that was given, both in the unit of the form."""

    def typed(value: object) -> str:
        if not isinstance(value, int | float) or not math.isfinite(value):
            return str(value)
        return f"{number(value / asked.scale)} {asked.unit}".strip()

    low, high = bad.facts.get("low"), bad.facts.get("high")
    parts = []
    if low is not None:
        parts.append(
            (_("more than {low}") if bad.facts.get("low_open") else _("at least {low}")).format(low=typed(low))
        )
    if high is not None:
        words = _("less than {high}") if bad.facts.get("high_open") else _("at most {high}")
        parts.append(words.format(high=typed(high)))
    joined = _(" and ").join(parts) or _("a finite number")
    return {"range": joined, "given": typed(bad.facts.get("value"))}
