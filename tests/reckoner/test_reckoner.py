"""Asking the reckoner: every calculation answers its own example, and what cannot be is refused by name and range."""

import ast
import json
import math
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from hypothesis import given, settings
from hypothesis import strategies as st

from shop.core.reasons import Missing, Refused, sentence
from shop.reckoner.asking import given_figures, reckon
from shop.reckoner.contents import CHAPTERS, RECKONINGS
from shop.reckoner.forms import Answer, Kind
from shop.reckoner.plot import plot, round_steps
from shop.reckoner.remarks import CAUTIONS, REMARKS
from shop.reckoner.showing import number, shown

NAMES = sorted(RECKONINGS)


def refused(name: str, **given_: str) -> str:
    """The sentence that refuses these figures."""
    with pytest.raises(Refused) as caught:
        reckon(name, given_)
    return " ".join(map(sentence, caught.value.reasons))


def figures(answer: Answer) -> dict[str, float | str]:
    return {figure.name: figure.value for figure in answer.figures}


def test_names_are_given_once_and_every_calculation_has_a_source() -> None:
    assert len(RECKONINGS) == sum(len(chapter.reckonings) for chapter in CHAPTERS)
    assert all(each.source for each in RECKONINGS.values())


@pytest.mark.parametrize("name", NAMES)
def test_every_calculation_answers_its_own_example(name: str) -> None:
    answer = reckon(name, {})
    assert answer.sentence
    assert "{" not in answer.sentence + answer.working + "".join((*answer.remarks, *answer.cautions))
    assert answer.figures
    for figure in answer.figures:
        assert isinstance(figure.value, str) or math.isfinite(figure.value), figure.name
    if answer.curve:
        assert plot(answer.curve.points, answer.curve.here).line


anything = st.one_of(
    st.floats().map(repr), st.integers().map(str), st.text(max_size=12), st.sampled_from(["", "0", "-1"])
)


@pytest.mark.parametrize("name", NAMES)
@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_whatever_is_typed_is_answered_or_refused_in_a_sentence(name: str, data: st.DataObject) -> None:
    asks = RECKONINGS[name].asks
    typed = {
        each.name: data.draw(
            st.one_of(
                st.just(each.default), st.sampled_from([v for v, _l in each.choices]) if each.choices else anything
            )
        )
        for each in asks
    }
    try:
        answer = reckon(name, typed)
    except Refused as no:
        said = [sentence(reason) for reason in no.reasons]
        answer = Answer(" ".join(said))
    assert answer.sentence
    for figure in answer.figures:
        assert isinstance(figure.value, str) or math.isfinite(figure.value), figure.name


def test_numbers_are_read_as_people_write_them() -> None:
    usual = figures(reckon("esr", {"tan_delta": "0.24", "capacitance_uf": "100"}))
    assert figures(reckon("esr", {"tan_delta": "0,24", "capacitance_uf": " 100 "})) == usual
    assert usual["esr_ohm"] == pytest.approx(3.18310, rel=1e-5)
    assert figures(reckon("esr", {"tan_delta": 0.24, "capacitance_uf": 100})) == usual


def test_a_refusal_names_the_figure_and_its_range_in_the_unit_of_the_form() -> None:
    assert (
        refused("esr", capacitance_uf="-1")
        == "Capacitance must be at least 0.0000001 µF and at most 10,000,000 µF, not -1 µF."
    )
    assert "Rated at must be at least 40 °C" in refused("ten-kelvin-rule", rated_c="20")
    assert refused("esr", tan_delta="") == "tan δ is empty. Fill it in."
    assert refused("esr", tan_delta="much") == "tan δ is not a number: much. Write it with digits, for example 4.7."
    assert "Heat must be more than 0 W" in refused("heatsink", power_w="0")


@pytest.mark.parametrize("typed", ["nan", "inf", "1e999", "1_000", "٣", "0x10", "--1", "1.2.3"])
def test_what_is_no_number_is_refused(typed: str) -> None:
    assert "is not a number" in refused("esr", tan_delta=typed)


def test_a_mark_with_two_readings_asks() -> None:
    answer = reckon("digit-code", {"code": "104", "on": "electrolytic"})
    assert "2 ways" in answer.sentence
    assert "other end" in refused("colour-bands", colours="gold red violet yellow")
    assert "cannot be read" in refused("letter-code", code="4X7")


def test_ripple_above_the_rating_is_refused() -> None:
    assert "More ripple flows" in refused("capacitor-life", ripple_ratio="1.2")


def test_a_figure_that_is_not_asked_for_is_refused() -> None:
    assert "not asked for" in refused("esr", voltage="5")
    with pytest.raises(Missing, match="reckoning_unknown"):
        reckon("perpetual-motion", {})


def test_given_figures_are_those_typed_and_else_the_defaults() -> None:
    assert given_figures("esr", {"tan_delta": "0.3"}) == {
        "tan_delta": "0.3",
        "capacitance_uf": "100",
        "frequency_hz": "120",
    }


def test_every_remark_of_the_arithmetic_has_words() -> None:
    used = set()
    for file in Path("shop/engineering").glob("*.py"):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Remark":
                first = node.args[0]
                if isinstance(first, ast.Constant):
                    used.add(str(first.value))
    assert len(used) > 30
    assert used <= set(REMARKS) | set(CAUTIONS)


def test_no_answer_says_that_a_thing_is_safe() -> None:
    for name in NAMES:
        answer = reckon(name, {})
        said = " ".join((answer.sentence, *answer.remarks)).lower()
        assert " safe" not in said, name


@pytest.mark.parametrize(
    ("value", "unit", "words"),
    [(4.7e-6, "F", "4.7 µF"), (4700e-6, "F", "4,700 µF"), (1.5e-8, "F", "15 nF"), (999_960, "Ω", "1 MΩ"),
     (0, "V", "0 V"), (1e28, "", "1 × 10^28"),
     (0.00036, "A", "360 µA"), (65, "°C/W", "65 °C/W"), (-0.5, "V", "-500 mV"), ("brown", "", "brown")],
)  # fmt: skip
def test_figures_read_as_the_trade_writes_them(value: float | str, unit: str, words: str) -> None:
    assert shown(value, unit) == words


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_any_number_can_be_shown(value: float) -> None:
    assert number(value)
    assert shown(value, "V")


@given(st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=20))
def test_axes_begin_and_end_at_round_numbers_around_all_values(values: list[float]) -> None:
    steps = round_steps(values)
    tolerance = 1e-6 * (steps[-1] - steps[0])
    assert steps[0] - tolerance <= min(values)
    assert max(values) <= steps[-1] + tolerance
    assert 2 <= len(steps) <= 12


def test_a_curve_needs_two_points() -> None:
    with pytest.raises(ValueError, match="two points"):
        plot([(1, 1)])


def test_the_command_lists_asks_and_reckons(capsys: pytest.CaptureFixture[str]) -> None:
    call_command("reckon", "--list")
    listed = capsys.readouterr().out
    assert all(name in listed for name in NAMES)
    call_command("reckon", "esr", "--asks")
    assert "capacitance_uf=100" in capsys.readouterr().out
    call_command("reckon", "esr", "tan_delta=0.25", "capacitance_uf=10")
    assert "33.16 Ω" in capsys.readouterr().out
    call_command("reckon", "esr", "tan_delta=0.25", "capacitance_uf=10", "--json")
    assert json.loads(capsys.readouterr().out)["figures"]["esr_ohm"]["value"] == pytest.approx(33.157, abs=1e-3)


@pytest.mark.parametrize("words", [["esr", "0.25"], ["esr", "tan_delta=-1"], ["no-such"], ["esr", "x=1"]])
def test_the_command_refuses_with_a_sentence(words: list[str]) -> None:
    with pytest.raises(CommandError, match=r"\.$"):
        call_command("reckon", *words)


def test_a_yes_or_no_is_taken_in_any_usual_form() -> None:
    for name, each in RECKONINGS.items():
        for asked in each.asks:
            if asked.kind is Kind.YES:
                assert figures(reckon(name, {asked.name: True})) == figures(reckon(name, {asked.name: "yes"}))
                assert figures(reckon(name, {asked.name: "no"})) == figures(reckon(name, {asked.name: False}))


def test_candidates_are_put_in_order() -> None:
    listed = "tall 470 25 105 10 40 5; same 470 16 105 10 16 5; open 470 25 - 10 16 5"
    answer = reckon("capacitor-choice", {"candidates": listed})
    assert [figure.label for figure in answer.figures] == ["same", "open", "tall"]
    assert answer.sentence == "First comes same: It fits."
    assert "temperature class is not known" in str(answer.figures[1].value)
    assert "40 mm tall" in str(answer.figures[2].value)


@pytest.mark.parametrize("typed", ["A", "A x 16", "A 470 -", "A 470 16 85 10 16 5 9", ";", "A 0 16"])
def test_candidates_that_cannot_be_read_are_named(typed: str) -> None:
    assert refused("capacitor-choice", candidates=typed).startswith("Candidates")


def test_a_refusal_of_a_fit_names_the_figure_of_the_form() -> None:
    assert refused("capacitor-fit", part_uf="-1").startswith("Replacement must be at least")
    assert refused("capacitor-fit", place_uf="0").startswith("Original must be at least")


def test_a_mark_is_read_in_every_way_that_makes_sense() -> None:
    kinds = {figure.name for figure in reckon("mark", {"mark": "104"}).figures}
    assert {"ohms", "picofarads"} <= kinds
    assert "6.3 V" in reckon("mark", {"mark": "6V3"}).sentence
