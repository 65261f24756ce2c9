"""Linear regulators against data sheets and worked examples."""

import pytest

from shop.engineering import regulator_window as window
from shop.engineering.inputs import BadInput
from shop.engineering.regulator_heat import (
    BARE_LIMIT_K_W,
    JUNCTION_RANGE_C,
    MAKERS,
    Keeps,
    Need,
    dissipation_w,
    heatsink,
    junction,
    most_load_a,
    most_without_heatsink_w,
)

BY_MAKER = {row.maker: row for row in MAKERS}


def test_output_limits_of_the_five_volt_part() -> None:
    """RG-01 and RG-02: Fairchild LM78XX Rev 1.3.1, page 3."""
    light, loaded = window.output_limits(5, loaded=False), window.output_limits(5, loaded=True)
    assert (light.low_v, light.typical_v, light.high_v, light.from_memory) == (4.80, 5.00, 5.20, False)
    assert (loaded.low_v, loaded.high_v) == (4.75, 5.25)


def test_five_volts_need_seven() -> None:
    """RG-03: dropout 2 V typical at 1 A and 25 °C."""
    at = {"mains_low_percent": 0.0, "mains_high_percent": 0.0}
    assert window.input_window(7.0, 5.0, **at).holds
    assert not window.input_window(6.99, 5.0, **at).holds


def test_other_limits_of_the_sheet() -> None:
    """RG-04: the same sheet."""
    assert (window.LINE_REGULATION_V, window.LOAD_REGULATION_V) == (0.1, 0.1)
    assert (window.QUIESCENT_TYPICAL_A, window.QUIESCENT_MOST_A, window.RIPPLE_REJECTION_DB) == (0.005, 0.008, 62)


def test_dissipation_with_and_without_the_ground_current() -> None:
    """RG-05: National LM341 design considerations, page 7."""
    assert dissipation_w(9, 5, 0.5, 0.005) == pytest.approx(2.045, abs=1e-9)
    assert dissipation_w(9, 5, 0.5) == pytest.approx(2.0, abs=1e-9)


def test_two_watts_in_free_air_are_too_hot() -> None:
    """RG-06: 65 °C/W (Fairchild), 25 °C: 157.925 °C is above 125 °C."""
    hot = junction(2.045, 65, 25)
    assert hot.junction_c == pytest.approx(157.925, abs=1e-6)
    assert hot.keeps is Keeps.TOO_HOT


def test_what_a_bare_package_sheds() -> None:
    """RG-07: qastack.it 210198: 100 K over 65 °C/W are 1.538 W."""
    assert round(most_without_heatsink_w(65, 25), 3) == 1.538


@pytest.mark.parametrize(("input_v", "load_ma"), [(30, 60), (12, 214), (8, 500)])
def test_what_a_bare_package_can_feed(input_v: float, load_ma: int) -> None:
    """RG-07: the same page rounds to 1.5 W."""
    assert round(most_load_a(1.5, input_v, 5) * 1000) == load_ma


@pytest.mark.parametrize(("package", "limit_k_w"), [("TO-220", 60), ("TO-252", 92)])
def test_when_a_heatsink_is_needed(package: str, limit_k_w: float) -> None:
    """RG-10: National LM341 page 7: TO-220 from 60 °C/W, TO-252 from 92 °C/W needs none."""
    assert BARE_LIMIT_K_W[package] == limit_k_w
    assert heatsink(100 / limit_k_w, 25, free_air_k_w=limit_k_w).need is Need.NONE
    assert heatsink(100 / (limit_k_w - 0.1), 25, free_air_k_w=limit_k_w).need is Need.HEATSINK


@pytest.mark.parametrize(
    ("limit", "ambient", "watts", "case", "sink", "wanted"),
    [(125, 40, 4.3, 5, 1, 13.7674), (125, 50, 7, 5, 0.5, 5.2143), (125, 25, 2.5, 5, 0, 35.0)],
)
def test_how_good_a_heatsink(
    limit: float, ambient: float, watts: float, case: float, sink: float, wanted: float
) -> None:
    """RG-11: the standard formula."""
    found = heatsink(watts, ambient, limit_c=limit, junction_case_k_w=case, case_sink_k_w=sink)
    assert found.sink_k_w == pytest.approx(wanted, abs=1e-4)


@pytest.mark.parametrize(
    ("maker", "part", "tab", "free_air"),
    [("Fairchild", "LM78XX", 5, 65), ("ST", "L7800", 5, 50), ("National", "LM2940", 4, 60)],
)
def test_makers_differ(maker: str, part: str, tab: float, free_air: float) -> None:
    """RG-12: Fairchild LM78XX; ST L7800 Rev 12 2004 (fdocuments.in regulador-l7805); National LM2940."""
    row = BY_MAKER[maker]
    assert (row.part, row.junction_tab_k_w, row.free_air_k_w) == (part, tab, free_air)


def test_a_heatsink_on_the_tab_takes_the_figure_to_the_tab() -> None:
    """RG-13: TI µA7805 KCS (element14 thread 72653): 3 °C/W to the tab, 17 to the top."""
    row = BY_MAKER["TI"]
    assert (row.junction_tab_k_w, row.junction_top_k_w) == (3, 17)
    by_tab = heatsink(4, 40, junction_case_k_w=row.junction_tab_k_w, case_sink_k_w=1)
    assert by_tab.sink_k_w == pytest.approx(85 / 4 - 3 - 1)


def test_a_figure_of_a_part_on_a_board_is_none_of_free_air() -> None:
    """T4: the µA7805's 19 °C/W is one on a board; free air has 50 to 65."""
    assert (BY_MAKER["TI"].on_board_k_w, BY_MAKER["TI"].free_air_k_w) == (19, None)
    assert all(50 <= row.free_air_k_w <= 65 for row in MAKERS if row.free_air_k_w is not None)
    for ask in (lambda: most_without_heatsink_w(19, 25), lambda: heatsink(5, 25, free_air_k_w=19)):
        with pytest.raises(BadInput) as refused:
            ask()
        assert (refused.value.name, refused.value.code) == ("free_air_k_w", "out_of_range")


@pytest.mark.parametrize(("part", "low_c", "high_c"), [("LM341", 0, 125), ("L7800C", 0, 150), ("L7800", -55, 150)])
def test_junctions_have_their_range(part: str, low_c: float, high_c: float) -> None:
    """RG-14: National LM341 and ST L7800 Rev 12 data sheets."""
    assert JUNCTION_RANGE_C[part] == (low_c, high_c)
