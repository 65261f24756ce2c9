"""Options: what belongs together, which choices are allowed, and what a choice brings with it."""

from dataclasses import replace

import pytest
from hypothesis import given

from shop.core.reasons import Refused
from shop.quotes.bounds import check_offer, highest, lowest
from shop.quotes.choices import (
    check_choice,
    choose,
    default,
    leaving,
    offered,
    options,
    taken_options,
    taking,
    whole_options,
)
from shop.quotes.lines import Line
from tests.quotes.drawn import a_quote, allowed_choices, refusal


def _option(name: str, minor: int = 100, **told: object) -> Line:
    known = {"optional": True, "option": name, "taken": False} | told
    return replace(Line(f"Work {name}", "labour", 1, minor), **known)  # type: ignore[arg-type]


# Two ways to replace the capacitors, of which one has to be; a finish that may be had; a polish that needs the finish.
RECAP = (
    Line("Look inside", "labour", 1, 500),
    _option("plain", 4000, one_of="Capacitors", taken=True),
    _option("fine", 6000, one_of="Capacitors"),
    _option("satin", 900, one_of="Finish", may_skip=True),
    _option("gloss", 1100, one_of="Finish", may_skip=True),
    _option("polish", 300, needs="gloss"),
    Line("Gloves", "part", 1, 40, optional=True, option="polish", taken=False),
)


def test_lines_of_one_option_stand_together() -> None:
    assert {name: len(lines) for name, lines in options(RECAP).items()} == {
        "plain": 1, "fine": 1, "satin": 1, "gloss": 1, "polish": 2,
    }  # fmt: skip
    assert [line.taken for line in choose(RECAP, {"fine", "polish"})] == [True, False, True, False, False, True, True]


def test_it_refuses_to_choose_an_option_that_nobody_offered() -> None:
    with pytest.raises(ValueError, match="no such option"):
        choose(RECAP, {"gold"})
    with pytest.raises(ValueError, match="no such option"):
        taking(offered(RECAP), {"plain"}, "gold")


@pytest.mark.parametrize(
    "taken", [{"plain"}, {"fine"}, {"plain", "satin"}, {"fine", "gloss"}, {"fine", "gloss", "polish"}]
)
def test_it_allows_one_of_a_group_and_what_an_option_needs(taken: set[str]) -> None:
    check_choice(RECAP, taken)


@pytest.mark.parametrize(
    ("taken", "reasons"),
    [
        ({"gold"}, [("option_unknown", {})]),
        (set(), [("option_one_of", {"group": "Capacitors"})]),
        ({"plain", "fine"}, [("option_one_of", {"group": "Capacitors"})]),
        ({"plain", "satin", "gloss"}, [("option_at_most_one", {"group": "Finish"})]),
        ({"plain", "polish"}, [("option_requires", {"option": "Work polish", "needs": "Work gloss"})]),
        (
            {"polish"},
            [
                ("option_one_of", {"group": "Capacitors"}),
                ("option_requires", {"option": "Work polish", "needs": "Work gloss"}),
            ],
        ),
    ],
)
def test_it_says_everything_that_is_wrong_about_a_choice(taken: set[str], reasons: list[tuple[str, dict]]) -> None:
    with pytest.raises(Refused) as refused:
        check_choice(RECAP, taken)
    assert [(reason.code, reason.facts) for reason in refused.value.reasons] == reasons
    assert {reason.field for reason in refused.value.reasons} == {"take"}


def test_it_knows_an_option_by_its_lines() -> None:
    known = {1: "a", 2: "a", 3: "b"}
    assert whole_options(known, [1, 2]) == {"a"}
    assert whole_options(known, [3, 2, 1]) == {"a", "b"}
    assert whole_options(known, []) == frozenset()
    for taken, code in ([1], "option_incomplete"), ([1, 2, 4], "option_unknown"):
        with pytest.raises(Refused, match=code):
            whole_options(known, taken)


@pytest.mark.parametrize(
    ("before", "option", "after"),
    [
        ({"plain"}, "fine", {"fine"}),
        ({"plain"}, "satin", {"plain", "satin"}),
        ({"plain", "satin"}, "polish", {"plain", "gloss", "polish"}),
        ({"plain", "gloss", "polish"}, "satin", {"plain", "satin"}),
        ({"plain"}, "plain", {"plain"}),
    ],
)
def test_taking_an_option_brings_what_it_needs_and_leaves_what_it_excludes(
    before: set[str], option: str, after: set[str]
) -> None:
    assert taking(offered(RECAP), before, option) == after


def test_leaving_an_option_leaves_what_needs_it() -> None:
    assert leaving(offered(RECAP), {"plain", "gloss", "polish"}, "gloss") == {"plain"}
    assert leaving(offered(RECAP), {"plain", "gloss", "polish"}, "polish") == {"plain", "gloss"}


def test_leaving_goes_on_along_a_chain_of_needs() -> None:
    chain = [_option("a", needs="b"), _option("b", needs="c"), _option("c")]
    assert leaving(offered(chain), {"a", "b", "c"}, "c") == frozenset()
    assert taking(offered(chain), (), "a") == {"a", "b", "c"}


def test_a_group_is_not_thought_cheaper_than_what_its_option_needs() -> None:
    """The discount of the group needs an option that costs more: the least is to take the other, which is free."""
    off = {"optional": True, "taken": False, "one_of": "Ways"}
    lines = [
        Line("Less", "discount", 1, -100, option="less", needs="base", **off),  # type: ignore[arg-type]
        _option("free", 0, one_of="Ways"),
        _option("base", 500),
    ]
    assert lowest(lines, lambda line: line.net_minor) == 0


def test_a_quote_starts_with_what_is_marked_made_to_fit() -> None:
    assert default(RECAP) == {"plain"}
    nothing_marked = choose(RECAP, set())
    assert default(nothing_marked) == {"plain"}
    assert default(choose(RECAP, {"plain", "fine", "polish"})) == {"plain"}
    assert default(choose(RECAP, {"fine", "gloss", "polish"})) == {"fine", "gloss", "polish"}


def test_of_a_group_the_first_that_fits_is_taken_with_what_it_needs() -> None:
    lines = [
        _option("a", one_of="Ways", needs="gone"),
        _option("b", one_of="Ways", needs="c"),
        _option("c"),
    ]
    assert default(lines) == {"b", "c"}


@pytest.mark.parametrize(
    "lines",
    [
        [_option("a", needs="gone")],
        [_option("a", one_of="Ways", needs="b"), _option("b", one_of="Ways")],
        [_option("a", needs="b"), _option("b", needs="gone")],
    ],
)
def test_it_refuses_an_offer_of_which_an_option_can_never_be_taken(lines: list[Line]) -> None:
    with pytest.raises(Refused) as refused:
        check_offer(lines)
    assert (refused.value.code, refused.value.reasons[0].facts) == ("option_never", {"option": "Work a"})


def test_options_that_need_each_other_go_together() -> None:
    lines = [_option("a", needs="b"), _option("b", needs="a")]
    check_offer(lines)
    assert taking(offered(lines), (), "a") == {"a", "b"}
    assert leaving(offered(lines), {"a", "b"}, "b") == frozenset()


def test_one_line_speaks_for_the_whole_option() -> None:
    lines = [_option("a", needs="b"), _option("a", one_of="Ways", may_skip=True), _option("b")]
    assert offered(lines)["a"].needs == {"b"}
    assert (offered(lines)["a"].group, offered(lines)["a"].may_skip) == ("Ways", True)
    with pytest.raises(ValueError, match="two groups"):
        offered([_option("a", one_of="Ways"), _option("a", one_of="Means")])


@given(a_quote())
def test_taking_and_leaving_hold_what_needs_and_groups_ask(lines: list[Line]) -> None:
    check = refusal(check_offer, lines)
    for option in options(lines):
        if check == "option_never":
            return
        for before in (frozenset[str](), taken_options(lines)):
            with_it, without = taking(offered(lines), before, option), leaving(offered(lines), before, option)
            assert option in with_it
            assert option not in without
            assert without <= before
            for chosen in (with_it, without):
                assert all(offered(lines)[name].needs <= chosen for name in chosen)
            groups = [offered(lines)[name].group for name in taking(offered(lines), (), option)]
            assert len([group for group in groups if group]) == len({group for group in groups if group})


@given(a_quote(needs=False))
def test_without_needs_whatever_is_allowed_stays_allowed_after_taking(lines: list[Line]) -> None:
    for before in allowed_choices(lines)[:20]:
        for option in options(lines):
            check_choice(lines, taking(offered(lines), before, option))


@given(a_quote())
def test_the_choice_a_quote_starts_with_is_the_marked_one_where_that_is_allowed(lines: list[Line]) -> None:
    marked = taken_options(lines)
    if refusal(check_choice, lines, marked) == "":
        assert default(lines) == marked
    if refusal(check_offer, lines) == "":
        check_choice(lines, default(lines))


@given(a_quote())
def test_an_option_is_called_impossible_just_when_no_choice_has_it(lines: list[Line]) -> None:
    """A group that has to be taken from is left out of account here, so that only needs and exclusions count."""
    eased = [replace(line, may_skip=True) if line.one_of else line for line in lines]
    possible = frozenset[str]().union(*allowed_choices(eased))
    assert (refusal(check_offer, eased) == "option_never") == (possible != set(options(lines)))


@given(a_quote())
def test_no_allowed_choice_lies_outside_the_bounds(lines: list[Line]) -> None:
    sums = [sum(line.net_minor for line in choose(lines, choice) if line.taken) for choice in allowed_choices(lines)]
    for found in sums:
        assert lowest(lines, lambda line: line.net_minor) <= found <= highest(lines, lambda line: line.net_minor)


@given(a_quote(needs=False))
def test_without_needs_the_bounds_are_reached(lines: list[Line]) -> None:
    sums = [sum(line.net_minor for line in choose(lines, choice) if line.taken) for choice in allowed_choices(lines)]
    assert lowest(lines, lambda line: line.net_minor) == min(sums)
    assert highest(lines, lambda line: line.net_minor) == max(sums)


@given(a_quote(groups=False))
def test_without_groups_the_least_is_reached(lines: list[Line]) -> None:
    sums = [sum(line.net_minor for line in choose(lines, choice) if line.taken) for choice in allowed_choices(lines)]
    assert lowest(lines, lambda line: line.net_minor) == min(sums)


def test_many_options_are_judged_at_once_and_stay_within_bounds() -> None:
    """Forty extras that need one option, twelve of them discounts: too many to try."""
    lines = [_option("base", 5000)]
    lines += [_option(f"extra {at}", 10, needs="base") for at in range(28)]
    off = {"optional": True, "taken": False, "needs": "base"}
    lines += [Line("Less", "discount", 1, -100, option=f"off {at}", **off) for at in range(12)]  # type: ignore[arg-type]
    assert lowest(lines, lambda line: line.net_minor) == -1200
    assert lowest(lines[:-2], lambda line: line.net_minor) == 0
    assert highest(lines, lambda line: line.net_minor) == 5280
