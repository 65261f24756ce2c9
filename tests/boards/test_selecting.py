"""Which placements a rule of words means."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.boards.selecting import selected
from shop.boards.spots import Fit, Kind, Spot

C1 = Spot(designator="C1", kind=Kind.ELECTROLYTIC)
C12 = Spot(designator="C12", kind=Kind.CERAMIC)
C60 = Spot(designator="C60", kind=Kind.ELECTROLYTIC, fit=Fit.VARIANT, variants=("50 Hz",))
C70 = Spot(designator="C70", kind=Kind.ELECTROLYTIC, fit=Fit.EMPTY)
U3 = Spot(designator="U3", kind=Kind.REGULATOR)
U8 = Spot(designator="U8", kind=Kind.IC)
BOARD = (U8, C12, C1, C60, C70, U3)


@pytest.mark.parametrize(
    ("rule", "meant"),
    [
        ([], []),
        (["electrolytic"], ["C1", "C60"]),
        (["regulator", "ic"], ["U8", "U3"]),
        (["C1"], ["C1"]),
        (["C1*"], ["C12", "C1"]),
        (["*"], ["U8", "C12", "C1", "C60", "U3"]),
        (["*8"], ["U8"]),
        (["U3", "electrolytic"], ["C1", "C60", "U3"]),
        (["C70"], []),
        (["c1"], []),
        (["C9*"], []),
    ],
)
def test_it_selects_by_kinds_and_designators_in_the_boards_order(rule: list[str], meant: list[str]) -> None:
    assert [spot.designator for spot in selected(BOARD, rule)] == meant


def test_it_selects_once_what_two_words_mean() -> None:
    assert selected(BOARD, ["electrolytic", "C1", "C*"]) == (C12, C1, C60)


@pytest.mark.parametrize(("variant", "there"), [("50 Hz", True), ("60 Hz", False), ("", True)])
def test_it_keeps_what_depends_on_a_variant_until_the_variant_is_known(variant: str, *, there: bool) -> None:
    assert (C60 in selected(BOARD, ["electrolytic"], variant=variant)) is there
    assert C1 in selected(BOARD, ["electrolytic"], variant=variant)


words = st.lists(st.sampled_from(["electrolytic", "ceramic", "ic", "C*", "U*", "C1", "C6*", "*"]), max_size=5)
variants = st.sampled_from(["", "50 Hz", "60 Hz"])


@given(rule=words, more=words, variant=variants)
def test_it_selects_by_a_longer_rule_what_either_part_selects(rule: list[str], more: list[str], variant: str) -> None:
    both = selected(BOARD, rule + more, variant=variant)
    each = {*selected(BOARD, rule, variant=variant), *selected(BOARD, more, variant=variant)}
    assert both == tuple(spot for spot in BOARD if spot in each)
    assert C70 not in both
