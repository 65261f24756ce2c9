"""How little and how much any allowed choice of options can come to, without trying them all. Pure."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import chain, combinations

from shop.core.reasons import Reason, Refused
from shop.quotes.choices import Option, check_choice, default, grouped, offered, with_needs
from shop.quotes.lines import Line

Weigh = Callable[[Line], int]
_TRIED_AT_MOST = 10


def check_offer(lines: Iterable[Line]) -> None:
    """Raise Refused unless the options can be chosen among.

    Codes: `option_never` for an option that needs what is not on the quote or what its own group excludes, and those of
    `choices.check_choice` when not even the choice that the quote starts with is allowed.
    """
    lines = tuple(lines)
    known = offered(lines)
    for option in known.values():
        if with_needs(known, [option.name]) is None:
            raise Refused(Reason("option_never", {"option": option.words}))
    check_choice(lines, default(lines))


def lowest(lines: Iterable[Line], weigh: Weigh) -> int:
    """Return the least that the weights of the taken lines can add up to, over every allowed choice.

    Never above the true least. It is the true least unless a group's cheapest option needs others besides, or more than
    ten options that hang together lower the sum: then what they need is left out of account.
    """
    lines = tuple(lines)
    known = offered(lines)
    weights = {name: sum(map(weigh, option.lines)) for name, option in known.items()}
    always = sum(weigh(line) for line in lines if not line.optional)
    return always + sum(_lowest(known, names, weights) for names in _hanging_together(known))


def highest(lines: Iterable[Line], weigh: Weigh) -> int:
    """Return at least the most that the weights of the taken lines can add up to. What options need is left out."""
    lines = tuple(lines)
    known = offered(lines)
    weights = {name: -sum(map(weigh, option.lines)) for name, option in known.items()}
    return sum(weigh(line) for line in lines if not line.optional) - _loosely(known, list(known), weights)


def _hanging_together(known: Mapping[str, Option]) -> list[list[str]]:
    """Return the options in sets that do not touch each other: by a group, or by needing."""
    sets: list[set[str]] = []
    ties = [{name, *(need for need in option.needs if need in known)} for name, option in known.items()]
    ties += [{member.name for member in members} for members in grouped(known).values()]
    for tie in ties:
        touched = [names for names in sets if names & tie]
        sets = [names for names in sets if not names & tie] + [tie.union(*touched)]
    return [sorted(names) for names in sets]


def _lowest(known: Mapping[str, Option], names: Sequence[str], weights: Mapping[str, int]) -> int:
    """Return the least of options that hang together: only those that lower it are tried, each with what it needs."""
    lowering = [name for name in names if weights[name] < 0]
    if len(lowering) > _TRIED_AT_MOST:
        return _loosely(known, names, weights)
    tried = chain.from_iterable(combinations(lowering, count) for count in range(len(lowering) + 1))
    own = {name: known[name] for name in names}
    sums = [found for some in tried if (found := _with_the_rest(own, some, weights)) is not None]
    return min(sums, default=0)


def _with_the_rest(known: Mapping[str, Option], lowering: Sequence[str], weights: Mapping[str, int]) -> int | None:
    """Return the least with exactly these of the options that lower it, or None when that is not allowed."""
    whole = with_needs(known, lowering)
    if whole is None:
        return None
    found = sum(weights[name] for name in whole)
    for members in grouped(known).values():
        if members[0].may_skip or any(member.name in whole for member in members):
            continue
        fitting = [member.name for member in members if with_needs(known, whole | {member.name}) is not None]
        raising = [weights[name] for name in fitting if weights[name] >= 0]
        if not raising:
            return None
        found += min(raising)
    return found


def _loosely(known: Mapping[str, Option], names: Sequence[str], weights: Mapping[str, int]) -> int:
    """Return the least when options need nothing; of a group still no more than one is taken."""
    own = {name: known[name] for name in names}
    found = sum(min(0, weights[name]) for name, option in own.items() if not option.group)
    for members in grouped(own).values():
        least = min(weights[member.name] for member in members)
        found += min(0, least) if members[0].may_skip else least
    return found
