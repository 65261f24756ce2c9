"""Wire, batteries, solder and static against published figures."""

import csv
from pathlib import Path

import pytest

from shop.engineering import batteries, rework, wire
from shop.engineering.batteries import Chemistry, Swap, cell_named, standby, swap
from shop.engineering.rework import ALLOYS, Fill, Static, hole_fill, least_wetting_degrees, static_within

DATA = Path(__file__).parent / "data"


@pytest.mark.parametrize(("gauge", "mm"), [(24, 0.510559), (26, 0.404892), (28, 0.321094), (30, 0.254639)])
def test_diameters_by_the_formula(gauge: int, mm: float) -> None:
    """WR-01: ASTM B258."""
    assert wire.diameter_mm(gauge) == pytest.approx(mm, abs=1e-6)


@pytest.mark.parametrize(("gauge", "mm"), [(24, 0.511), (26, 0.405), (28, 0.321), (30, 0.255)])
def test_diameters_as_printed(gauge: int, mm: float) -> None:
    """WR-02: cms.ua and daycounter.com."""
    assert wire.diameter_mm(gauge) == pytest.approx(mm, abs=5e-4)


@pytest.mark.parametrize(
    ("gauge", "milliohm", "printed", "kilofoot"),
    [
        (24, 84.213, 84.20, 25.67),
        (26, 133.904, 133.86, 40.81),
        (28, 212.916, 212.87, 64.90),
        (30, 338.550, 338.50, 103.20),
    ],
)
def test_resistance_at_twenty_degrees(gauge: int, milliohm: float, printed: float, kilofoot: float) -> None:
    """WR-03 and WR-04: computed from IACS copper, and 1728.org's tables."""
    ohms = wire.resistance_ohm_m(gauge)
    assert ohms * 1000 == pytest.approx(milliohm, rel=1e-4)
    assert ohms * 1000 == pytest.approx(printed, rel=1e-3)
    assert ohms * 304.8 == pytest.approx(kilofoot, rel=5e-4)


def test_the_anchors_of_the_gauge() -> None:
    """WR-05: AWG 36 is 0.005 in and 0000 is 0.460 in."""
    assert wire.diameter_mm(36) == 0.005 * 25.4
    assert wire.diameter_mm(-3) == pytest.approx(0.460 * 25.4, rel=1e-12)


def test_the_rules_of_thumb() -> None:
    """WR-06: daycounter.com: + 3 doubles R, + 6 halves d, + 10 is ten times R; within 2 %."""
    assert wire.resistance_ohm_m(27) / wire.resistance_ohm_m(24) == pytest.approx(2, rel=0.02)
    assert wire.diameter_mm(24) / wire.diameter_mm(30) == pytest.approx(2.00503, abs=1e-5)
    assert wire.resistance_ohm_m(34) / wire.resistance_ohm_m(24) == pytest.approx(10, rel=0.02)


def test_the_whole_table() -> None:
    """The table of AWG 18 to 36 that the formulas give, kept with the references."""
    with (DATA / "awg.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == 19
    for row in rows:
        gauge = int(row["awg"])
        assert wire.diameter_mm(gauge) == pytest.approx(float(row["diameter_mm"]), abs=1e-5)
        assert wire.area_mm2(gauge) == pytest.approx(float(row["area_mm2"]), rel=1e-4)
        assert wire.resistance_ohm_m(gauge) * 1000 == pytest.approx(float(row["resistance_mohm_per_m_20C"]), rel=1e-4)


@pytest.mark.parametrize(
    ("name", "diameter", "height"),
    [("CR2032", 20, 3.2), ("CR2025", 20, 2.5), ("CR2016", 20, 1.6), ("CR1632", 16, 3.2), ("CR1220", 12, 2.0)],
)
def test_names_of_cells(name: str, diameter: float, height: float) -> None:
    """BT-01: IEC 60086-3, read at elcocomponentes.com, mbedded.ninja and montgomeryminds.com."""
    cell = cell_named(name)
    assert (cell.chemistry, cell.diameter_mm, cell.height_mm) == (Chemistry.LITHIUM_MANGANESE, diameter, height)


def test_nominal_voltages() -> None:
    """BT-02: an encyclopedia's page on the CR2032: CR 3.0 V with cut-off 2.0 V, BR2032 2.8 V and 190 mAh."""
    assert (cell_named("CR2032").chemistry.nominal_v, batteries.CUT_OFF_V) == (3.0, 2.0)
    assert (cell_named("BR2032").chemistry.nominal_v, cell_named("BR2032").capacity_mah) == (2.8, (190, 190))


def test_capacities_are_ranges_over_makers() -> None:
    """BT-03: secondary pages only."""
    assert [cell_named(name).capacity_mah for name in ("CR2032", "CR2025", "CR2016")] == [
        (210, 240),
        (150, 170),
        (75, 100),
    ]


def test_drains() -> None:
    """BT-04: one secondary page: 0.2 mA standard, 3 mA continuous, 15 mA pulse."""
    assert list(batteries.DRAIN_A.values()) == [0.0002, 0.003, 0.015]


@pytest.mark.parametrize(("capacity", "hours", "years"), [(225, 22_500, 2.567), (90, 9000, 1.027)])
def test_standby_of_a_worked_example(capacity: float, hours: float, years: float) -> None:
    """BT-05: electronicspoint.com thread 110475: 10 µA, without self-discharge; years of 8766 h."""
    found = standby(capacity, 10, 0)
    assert found.hours_h == found.drain_only_h == hours
    assert found.hours_h / batteries.YEAR_H == pytest.approx(years, abs=1e-3)


def test_a_rechargeable_never_takes_a_primarys_place() -> None:
    """BT-08: maker handbook 12006-A, "not rechargeable"; 3.6 V against 3.0 V."""
    answer = swap("CR2032", "LIR2032", board_charges=False)
    assert answer.answer is Swap.MUST_NOT
    assert {reason.code for reason in answer.reasons} == {"rechargeable_for_primary", "other_voltage"}


def test_charging_a_lithium_ion_cell() -> None:
    """BT-09 and BT-10: 4.20 V ± 1 %; it ends at C/10 to C/20 and there is no trickle."""
    assert pytest.approx((4.20 * 0.99, 4.20 * 1.01)) == batteries.CHARGE_LIMITS_V
    assert [batteries.charging_voltage_is_right(volts) for volts in (4.157, 4.158, 4.242, 4.243)] == [
        False, True, True, False,
    ]  # fmt: skip
    assert batteries.TAPER == (1 / 20, 1 / 10)


@pytest.mark.parametrize(
    ("name", "solidus", "liquidus"),
    [
        ("Sn63Pb37", 183, 183),
        ("Sn60Pb40", 183, 190),
        ("Sn50Pb50", 183, 216),
        ("Sn40Pb60", 183, 238),
        ("SAC305", 217, 220),
    ],
)
def test_melting_ranges(name: str, solidus: float, liquidus: float) -> None:
    """SR-01 to SR-03: a handbook table; SAC305 from memory."""
    assert (ALLOYS[name].solidus_c, ALLOYS[name].liquidus_c) == (solidus, liquidus)
    assert ALLOYS[name].from_memory is (name == "SAC305")


@pytest.mark.parametrize(
    ("product_class", "leads", "board", "least"),
    [(2, 13, 1.6, 75), (2, 14, 1.6, 50), (2, 40, 3.2, 37.5), (3, 13, 1.6, 75), (3, 40, 3.2, 75)],
)
def test_how_far_a_hole_must_be_filled(product_class: int, leads: int, board: float, least: float) -> None:
    """SR-04: IPC-A-610F (2014) table 7-4: 50 % or 1.2 mm, whichever is less, from 14 leads."""
    assert hole_fill(product_class, leads, least, board).verdict is Fill.PASS
    assert hole_fill(product_class, leads, least - 0.1, board).verdict is Fill.FAIL
    assert hole_fill(product_class, leads, 100, board).least_percent == pytest.approx(least)


def test_class_one_specifies_no_fill() -> None:
    """SR-05 and SR-06: the same table; wetting 180° for class 2 and 270° for class 3."""
    assert hole_fill(1, 8, 0, 1.6).verdict is Fill.NOT_SPECIFIED
    assert [least_wetting_degrees(each) for each in (1, 2, 3)] == [None, 180, 270]


def test_limits_of_static_control() -> None:
    """SR-08 to SR-12: ANSI/ESD S20.20-2021 and -2007; the mat from a secondary page."""
    assert (rework.HUMAN_BODY_V, rework.CHARGED_DEVICE_V) == (100, 200)
    for what, below, at in (
        (Static.ISOLATED_CONDUCTOR, 34.9, 35), (Static.WRIST_STRAP, 3.49e7, 3.5e7),
        (Static.FLOOR_AND_SHOES, 3.49e7, 3.5e7),
        (Static.FLOOR_AND_SHOES_BODY, 9.9e8, 1e9), (Static.BODY_VOLTAGE, 99, 100), (Static.EQUIPMENT_GROUND, 0.99, 1.0),
        (Static.AUXILIARY_GROUND, 24.9, 25), (Static.BONDING, 9.9e8, 1e9),
    ):  # fmt: skip
        assert static_within(what, below), what
        assert not static_within(what, at), what
    assert [static_within(Static.MAT, ohms) for ohms in (9e5, 1e6, 1e9, 1.1e9)] == [False, True, True, False]
