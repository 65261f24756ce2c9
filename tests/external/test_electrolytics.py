"""Electrolytic capacitors against published rules, sheets and worked examples."""

import csv
from pathlib import Path

import pytest

from shop.engineering.capacitors import (
    LossSheet,
    end_of_life,
    esr_ohm,
    in_parallel,
    in_series,
    leakage_limit_a,
    tan_delta_limit,
)
from shop.engineering.electrolytic_life import (
    CEILING_H,
    by_core_temperature,
    mixed_duty,
    ten_kelvin_rule,
    voltage_factor,
    with_ripple,
    with_ripple_and_voltage,
)

DATA = Path(__file__).parent / "data"
SHEETS = {
    ("ZG", "D4..6.3 L3.95"): LossSheet.NICHICON_ZG,
    ("VEJ", "D4..10"): LossSheet.VEJ_TO_10_MM,
    ("VEJ", "D12.5..18"): LossSheet.VEJ_FROM_12_5_MM,
}
with (DATA / "tan_delta_limits.csv").open(encoding="utf-8") as _file:
    TAN_DELTA = list(csv.DictReader(_file))


@pytest.mark.parametrize(("actual_c", "hours"), [(45, 64_000), (55, 32_000), (65, 16_000)])
def test_the_ten_kelvin_rule_as_cosel_works_it(actual_c: float, hours: float) -> None:
    """CP-01: COSEL technical 100, 1000 h at 105 °C."""
    assert ten_kelvin_rule(1000, 105, actual_c).computed_h == hours


def test_mixed_duty_as_cosel_works_it() -> None:
    """CP-02: the same page, 8 hours a day each; it prints 57.2 °C, above the mean of 55 °C."""
    duty = mixed_duty(1000, 105, [(8, 45), (8, 55), (8, 65)])
    assert duty.life.computed_h == pytest.approx(27_428.57, abs=0.5)
    assert duty.equivalent_c == pytest.approx(57.2239, abs=0.05)
    assert round(duty.equivalent_c, 1) == 57.2


def test_two_thousand_hours_at_105_are_about_fifteen_years_at_45() -> None:
    """CP-06: from memory (an encyclopedia's lifetime section) and recomputed."""
    assert ten_kelvin_rule(2000, 105, 45).computed_h == 128_000


def test_the_rule_warns_where_rubycon_says_it_is_off() -> None:
    """CP-07: Rubycon technical notes 5-1: good for 70 to 90 °C, off below 60 and above 105 °C."""

    def codes(actual_c: float, rated_c: float = 105) -> list[str]:
        return [remark.code for remark in ten_kelvin_rule(100, rated_c, actual_c).remarks]

    assert codes(70) == codes(90) == []
    assert codes(60) == codes(69.9) == codes(90.1) == codes(105) == ["rule_is_rough"]
    assert codes(59.9) == codes(106, 125) == ["rule_is_off"]


def test_no_more_than_fifteen_years_are_promised() -> None:
    """CP-08: nichicon's calculator, note 4; Beckhoff: 131 400 h."""
    life = ten_kelvin_rule(10_000, 105, 40)
    assert life.computed_h > CEILING_H == 131_400
    assert life.promised_h == 131_400
    assert "life_ceiling" in [remark.code for remark in life.remarks]


@pytest.mark.parametrize(("ratio", "hours"), [(1, 32_000), (0.5, 43_483.50), (0, 47_551.82)])
def test_ripple_in_rubycons_form(ratio: float, hours: float) -> None:
    """CP-09: the formula was read (biz.doczj.com 163504385), the values computed from it."""
    life = with_ripple(rated_h=2000, rated_c=105, actual_c=65, core_rise_k=5, ripple_ratio=ratio)
    assert life.computed_h == pytest.approx(hours, abs=0.01)


@pytest.mark.parametrize(
    ("ripple", "voltage", "hours"), [(1, 1, 80_000), (0.5, 0.8, 181_238.84), (0.5, 0.5, 372_452.32)]
)
def test_ripple_and_voltage_in_jianghais_form(ripple: float, voltage: float, hours: float) -> None:
    """CP-10: circuitlover.com after Jianghai; the formula read, the values computed from it."""
    life = with_ripple_and_voltage(
        rated_h=5000, rated_c=105, actual_c=65, core_rise_k=5, ripple_ratio=ripple, voltage_ratio=voltage
    )
    assert life.computed_h == pytest.approx(hours, abs=0.01)


def test_the_ripple_factor_of_jianghais_form() -> None:
    """CP-10: half the rated ripple gives KR 1.296840."""
    full, half = (
        with_ripple_and_voltage(
            rated_h=5000, rated_c=105, actual_c=65, core_rise_k=5, ripple_ratio=ratio, voltage_ratio=1
        ).computed_h
        for ratio in (1.0, 0.5)
    )
    assert half / full == pytest.approx(1.296840, abs=1e-6)


def test_the_voltage_factor_joins_within_two_thousandths() -> None:
    """CP-10 and CP-11: 0.8 gives 1.746928; 0.6 gives 3.586096 beside the constant 3.59."""
    assert voltage_factor(0.8) == pytest.approx(1.746928, abs=1e-6)
    assert voltage_factor(0.6) == pytest.approx(3.586096, abs=1e-6)
    assert voltage_factor(0.6) == pytest.approx(voltage_factor(0.5999), rel=2e-3)


@pytest.mark.parametrize(("core_c", "hours"), [(95, 10_000), (75, 40_000), (65, 80_000)])
def test_the_core_temperature_form(core_c: float, hours: float) -> None:
    """CP-12: kendeil.com/UsefulLife; the formula read, the values computed."""
    assert by_core_temperature(rated_h=10_000, rated_c=85, core_c=core_c).computed_h == hours


@pytest.mark.parametrize(
    ("tan_delta", "microfarads", "ohms"),
    [(0.24, 100, 3.18310), (0.20, 220, 1.20572), (0.16, 47, 4.51503), (0.12, 1000, 0.159155)],
)
def test_esr_from_the_loss_tangent(tan_delta: float, microfarads: float, ohms: float) -> None:
    """CP-15: the formula at 120 Hz."""
    assert esr_ohm(tan_delta, microfarads * 1e-6) == pytest.approx(ohms, rel=1e-5)


def test_esr_of_a_worked_example() -> None:
    """CP-14: electro-tech-online.com thread 91034 prints 33.2 Ω."""
    assert esr_ohm(0.25, 10e-6) == pytest.approx(33.157, abs=0.05)


def test_leakage_of_a_worked_example() -> None:
    """CP-16: 47 µF, 40 V gives 18.8 µA; the rule is on nichicon's ZG sheet as well. Small parts have 3 µA."""
    assert leakage_limit_a(47e-6, 40) == pytest.approx(18.8e-6, rel=1e-12)
    assert leakage_limit_a(1e-6, 10) == pytest.approx(3e-6, rel=1e-12)


def test_the_table_of_tan_delta_is_whole() -> None:
    assert len(TAN_DELTA) == 22
    assert sum(row["series"] == "ZG" for row in TAN_DELTA) == 6


@pytest.mark.parametrize("row", TAN_DELTA, ids=lambda row: f"{row['series']}-{row['case']}-{row['rated_V']}")
def test_tan_delta_limits_of_the_sheets(row: dict[str, str]) -> None:
    """CP-19: nichicon ZG (pdf.datasheet.support); VEJ sheet (en.eeworld.com 22645614); 120 Hz and 20 °C."""
    assert (row["freq_Hz"], row["temp_C"]) == ("120", "20")
    sheet = SHEETS[row["series"], row["case"]]
    assert tan_delta_limit(float(row["rated_V"]), 100e-6, sheet) == float(row["tan_delta_max"])


def test_every_thousand_microfarads_add_two_hundredths() -> None:
    """CP-20: the VEJ sheet; 3300 µF is ambiguous, and a begun thousand counts whole here."""
    assert tan_delta_limit(16, 1000e-6) == pytest.approx(0.20)
    assert tan_delta_limit(16, 2000e-6) == pytest.approx(0.22)
    assert tan_delta_limit(16, 3300e-6) == pytest.approx(0.26)


@pytest.mark.parametrize(
    ("diameter_mm", "change", "tan_delta"), [(5, 25, 300), (6.3, 25, 300), (8, 20, 200), (10, 20, 200)]
)
def test_what_may_be_left_at_the_end_of_life(diameter_mm: float, change: float, tan_delta: float) -> None:
    """CP-21: the VEJ sheet."""
    end = end_of_life(diameter_mm)
    assert (end.capacitance_change_percent, end.tan_delta_percent_of_limit) == (change, tan_delta)


def test_capacitors_put_together() -> None:
    """CP-22: circuit theory."""
    assert in_series([100e-6, 100e-6]).capacitance_f == pytest.approx(50e-6, abs=1e-12)
    assert in_series([47e-6, 22e-6]).capacitance_f == pytest.approx(14.98551e-6, rel=1e-6)
    together = in_parallel([47e-6, 22e-6], [0.5, 0.3])
    assert together.capacitance_f == pytest.approx(69e-6)
    assert together.esr_ohm == pytest.approx(0.1875, abs=1e-6)
