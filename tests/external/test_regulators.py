"""Linear regulators against data sheets and worked examples."""

import pytest

from shop.engineering import regulator_window as window
from shop.engineering.regulator_heat import (
    MAKERS,
    Keeps,
    Need,
    dissipation_w,
    heatsink,
    junction,
    most_without_heatsink_w,
)


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
    """RG-07: qastack.it 210198 rounds 1.538 W to 1.5: 60 mA at 30 V in, 214 mA at 12 V, 500 mA at 8 V."""
    assert most_without_heatsink_w(65, 25) == pytest.approx(1.538, abs=1e-3)
    assert [round(1500 / (input_v - 5)) for input_v in (30, 12, 8)] == [60, 214, 500]
    for input_v, load_a in ((30, 0.060), (12, 0.214), (8, 0.5)):
        assert dissipation_w(input_v, 5, load_a) == pytest.approx(1.5, abs=0.01)


@pytest.mark.parametrize(("free_air", "watts", "need"), [
    (60, 100 / 60, Need.NONE), (60, 100 / 59.9, Need.HEATSINK),
    (92, 100 / 92, Need.NONE), (92, 100 / 91.9, Need.HEATSINK),
])  # fmt: skip
def test_when_a_heatsink_is_needed(free_air: float, watts: float, need: Need) -> None:
    """RG-10: National LM341 page 7: TO-220 from 60 °C/W, TO-252 from 92 °C/W needs none."""
    assert heatsink(watts, 25, free_air_k_w=free_air).need is need


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


def test_makers_differ() -> None:
    """RG-12, RG-14 and T4: Fairchild 5/65, ST 5/50, National 4/60; none is a board-mounted 19 °C/W."""
    figures = {maker.maker: (maker.junction_case, maker.junction_air) for maker in MAKERS}
    assert figures == {"Fairchild": (5, 65), "ST": (5, 50), "National": (4, 60)}
    assert {maker.maker: maker.junction_high_c for maker in MAKERS} == {"Fairchild": 125, "ST": 150, "National": 125}
    assert all(maker.junction_air and maker.junction_air >= 50 for maker in MAKERS)


def test_the_tab_counts_and_not_the_top() -> None:
    """RG-13: the docstring says which resistance to use; the top's 17 °C/W would ask for a far better sink."""
    assert "never that to the\n    top of the package" in (heatsink.__doc__ or "")
    by_tab = heatsink(4, 40, junction_case_k_w=3).sink_k_w
    by_top = heatsink(4, 40, junction_case_k_w=17).sink_k_w
    assert by_tab is not None
    assert by_top is not None
    assert by_tab - by_top == pytest.approx(14)
