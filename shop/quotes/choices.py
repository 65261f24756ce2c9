"""Options of a quote: what belongs together, which choices are allowed, and what a choice brings with it. Pure.

Lines of one option are taken or left together. Of a group (`one_of`) exactly one option is taken, or at most one where
none may be taken either (`may_skip`). An option that needs another is taken only with it.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TypeVar

from shop.core.reasons import Reason, Refused
from shop.quotes.lines import Line

K = TypeVar("K")


@dataclass(frozen=True, slots=True)
class Option:
    """One option. group is empty where it belongs to none; needs are the options that it needs at once."""

    name: str
    lines: tuple[Line, ...]
    group: str
    may_skip: bool
    needs: frozenset[str]

    @property
    def words(self) -> str:
        """Return the words of its first line."""
        return self.lines[0].words

    @property
    def taken(self) -> bool:
        """Return whether its lines are taken as they stand."""
        return any(line.taken for line in self.lines)


def options(lines: Iterable[Line]) -> dict[str, tuple[Line, ...]]:
    """Return the optional lines by the option that they belong to, in order of appearance."""
    found: dict[str, tuple[Line, ...]] = {}
    for line in lines:
        if line.optional:
            found[line.option] = (*found.get(line.option, ()), line)
    return found


def offered(lines: Iterable[Line]) -> dict[str, Option]:
    """Return the options by name, in order of appearance.

    A group and needs that one line of an option names hold for the whole option, and none of a group has to be taken
    when one of its lines says so. Raises ValueError when the lines of one option name two groups.
    """
    lines = tuple(lines)
    skipped = {line.one_of for line in lines if line.may_skip}
    found = {}
    for name, own in options(lines).items():
        groups = {line.one_of for line in own if line.one_of}
        if len(groups) > 1:
            raise ValueError(f"the option {name} is in two groups: {sorted(groups)}")
        group = min(groups, default="")
        needs = frozenset(line.needs for line in own if line.needs) - {name}
        found[name] = Option(name, own, group, group in skipped, needs)
    return found


def choose(lines: Iterable[Line], taken: Collection[str]) -> tuple[Line, ...]:
    """Return the lines with exactly these options taken. Raises ValueError for an option that is not among them."""
    lines = tuple(lines)
    if unknown := set(taken) - set(options(lines)):
        raise ValueError(f"no such option: {sorted(unknown)}")
    return tuple(_marked(line, line.option in taken) if line.optional else line for line in lines)


def _marked(line: Line, taken: bool) -> Line:
    return line if line.taken == taken else replace(line, taken=taken)


def taken_options(lines: Iterable[Line]) -> frozenset[str]:
    """Return the options that are taken as the lines stand."""
    return frozenset(line.option for line in lines if line.optional and line.taken)


def whole_options(option_by_line: Mapping[K, str], taken: Collection[K]) -> frozenset[str]:
    """Return the options that the taken lines make up.

    option_by_line has the optional lines, by whatever they are known by. Raises Refused with `option_unknown` for a
    line that is not among them and `option_incomplete` for a part of an option.
    """
    if set(taken) - set(option_by_line):
        raise Refused(Reason("option_unknown", {}, "take"))
    whole = frozenset(option_by_line[line] for line in taken)
    if any(option in whole and line not in taken for line, option in option_by_line.items()):
        raise Refused(Reason("option_incomplete", {}, "take"))
    return whole


def check_choice(lines: Iterable[Line], taken: Collection[str]) -> None:
    """Raise Refused, with every reason, unless these options may be taken and all others left.

    Codes: `option_unknown`; `option_one_of` and `option_at_most_one` with the group; `option_requires` with the words
    of the option and of what it needs.
    """
    check_among(offered(lines), taken)


def check_among(known: Mapping[str, Option], taken: Collection[str]) -> None:
    """Do as `check_choice` does, with the options at hand."""
    if set(taken) - set(known):
        raise Refused(Reason("option_unknown", {}, "take"))
    if reasons := [*_group_reasons(known, taken), *_need_reasons(known, taken)]:
        raise Refused(*reasons)


def _group_reasons(known: Mapping[str, Option], taken: Collection[str]) -> list[Reason]:
    reasons = []
    for group, members in grouped(known).items():
        count = sum(member.name in taken for member in members)
        if members[0].may_skip and count > 1:
            reasons.append(Reason("option_at_most_one", {"group": group}, "take"))
        if not members[0].may_skip and count != 1:
            reasons.append(Reason("option_one_of", {"group": group}, "take"))
    return reasons


def _need_reasons(known: Mapping[str, Option], taken: Collection[str]) -> list[Reason]:
    return [
        Reason("option_requires", {"option": option.words, "needs": _words(known, need)}, "take")
        for option in known.values()
        if option.name in taken
        for need in sorted(option.needs)
        if need not in taken
    ]


def _words(known: Mapping[str, Option], name: str) -> str:
    return known[name].words if name in known else name


def grouped(known: Mapping[str, Option]) -> dict[str, list[Option]]:
    """Return the options of each group, in order of appearance."""
    groups: dict[str, list[Option]] = {}
    for option in known.values():
        if option.group:
            groups.setdefault(option.group, []).append(option)
    return groups


def with_needs(known: Mapping[str, Option], names: Iterable[str]) -> frozenset[str] | None:
    """Return options with all that they need, and that needs; None when that is not on the quote or excludes itself."""
    found: set[str] = set()
    waiting = list(names)
    while waiting:
        name = waiting.pop()
        if name not in known:
            return None
        if name not in found:
            found.add(name)
            waiting += known[name].needs
    groups = [known[name].group for name in found if known[name].group]
    return frozenset(found) if len(groups) == len(set(groups)) else None


def _supported(known: Mapping[str, Option], names: Iterable[str]) -> frozenset[str]:
    """Return the options that are left once those without what they need are dropped, and those that need them."""
    kept = frozenset(names)
    while lost := frozenset(name for name in kept if not known[name].needs <= kept):
        kept -= lost
    return kept


def taking(known: Mapping[str, Option], taken: Collection[str], option: str) -> frozenset[str]:
    """Return a choice changed so that it has an option, out of those that are `offered`.

    What the option needs comes with it; the others of its group are left, and so is what needs them. Raises ValueError
    for an option that is not among them.
    """
    if option not in known:
        raise ValueError(f"no such option: {option}")
    whole = with_needs(known, [option]) or frozenset([option])
    groups = {known[name].group for name in whole} - {""}
    others = {name for name in taken if known[name].group in groups}
    return _supported(known, frozenset(taken) - others | whole)


def leaving(known: Mapping[str, Option], taken: Collection[str], option: str) -> frozenset[str]:
    """Return a choice changed so that it lacks an option, and what needs it.

    Where exactly one of a group has to be taken the result is not allowed; another of the group is to be taken instead.
    """
    return _supported(known, frozenset(taken) - {option})


def default(lines: Iterable[Line]) -> frozenset[str]:
    """Return the choice that a quote starts with: what its lines say is taken, made to fit.

    Of a group the first that is marked stays, else the first that fits where one has to be taken, with what it needs;
    an option that is marked without what it needs is left.
    """
    lines = tuple(lines)
    known = offered(lines)
    marked = taken_options(lines)
    chosen: frozenset[str] = frozenset()
    for option in known.values():
        whole = with_needs(known, [option.name])
        if option.taken and whole is not None and whole <= marked:
            chosen = with_needs(known, chosen | whole) or chosen
    for members in grouped(known).values():
        if not members[0].may_skip and not any(member.name in chosen for member in members):
            fitting = (with_needs(known, chosen | {member.name}) for member in members)
            chosen = next((choice for choice in fitting if choice is not None), chosen)
    return chosen
