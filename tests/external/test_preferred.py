"""Preferred values against published figures: IEC 60063:2015 by way of eseries 1.2.1 (MIT), and rated voltages."""

import csv
from pathlib import Path

import eseries
import pytest

from shop.engineering.preferred import Series, at_least, at_most, nearest, rated_voltage_at_least

with (Path(__file__).parent / "data" / "e_series.csv").open(encoding="utf-8") as file:
    ROWS = list(csv.DictReader(file))
VALUES = (1.0, 3.16, 4.6, 9.75, 9.99, 0.00123, 47e-6, 919.4, 8.2e7)


def hundreds_of(row: dict[str, str]) -> int:
    return int(row["published_value"].ljust(3, "0"))


def test_the_file_has_all_values_of_all_series() -> None:
    """MK-01: 381 values."""
    assert len(ROWS) == 381
    assert [each.size for each in Series] == [3, 6, 12, 24, 48, 96, 192]
    assert [sum(row["series"] == each for row in ROWS) for each in Series] == [each.size for each in Series]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['series']}-{row['index']}")
def test_each_value_of_the_series_is_that_of_iec_60063(row: dict[str, str]) -> None:
    """MK-01: exact."""
    assert Series(row["series"]).hundreds[int(row["index"])] == hundreds_of(row)


def test_coarse_series_lie_in_finer_ones() -> None:
    """MK-01: E3 in E6 in E12 in E24, and E48 in E96 in E192."""
    sets = {each: set(each.hundreds) for each in Series}
    assert sets[Series.E3] < sets[Series.E6] < sets[Series.E12] < sets[Series.E24]
    assert sets[Series.E48] < sets[Series.E96] < sets[Series.E192]


def test_e12_differs_from_the_formula_in_five_places() -> None:
    """MK-02: IEC 60063; itecnotes.com, "Are the E-series numbers different from the powers of 10"."""
    assert {place: Series.E12.hundreds[place] for place in anomalies(Series.E12, 2)} == {
        5: 270, 6: 330, 7: 390, 8: 470, 11: 820,
    }  # fmt: skip


def test_e24_differs_from_the_formula_in_eight_places() -> None:
    """MK-03: IEC 60063."""
    found = [Series.E24.hundreds[place] for place in anomalies(Series.E24, 2)]
    assert found == [270, 300, 330, 360, 390, 430, 470, 820]


def test_e192_differs_from_the_formula_in_one_place() -> None:
    """MK-04: IEC 60063; 920, where the formula gives 919."""
    assert anomalies(Series.E192, 3) == [185]
    assert Series.E192.hundreds[185] == 920


def test_the_series_are_tables_and_not_a_formula() -> None:
    """T1: the number of anomalies of each series; thirteen values of E24 are not in E192."""
    counted = [len(anomalies(each, 2 if each.size <= 24 else 3)) for each in Series]
    assert counted == [1, 2, 5, 8, 0, 0, 1]
    assert sorted(set(Series.E24.hundreds) - set(Series.E192.hundreds)) == [
        220, 270, 300, 330, 360, 390, 430, 510, 560, 620, 680, 820, 910,
    ]  # fmt: skip


def anomalies(series: Series, digits: int) -> list[int]:
    """Return the places where the table is not the power of ten rounded to so many digits."""
    step = 10 ** (3 - digits)
    formula = [round(10 ** (digits - 1 + place / series.size)) * step for place in range(series.size)]
    return [place for place, (ours, power) in enumerate(zip(series.hundreds, formula, strict=True)) if ours != power]


def test_the_series_have_the_tolerances_they_are_made_for() -> None:
    """MK-07: eseries 1.2.1; that E3 means over 20 % is from memory."""
    assert [each.tolerance_percent for each in Series] == [40, 20, 10, 5, 2, 1, 0.5]


@pytest.mark.parametrize("value", VALUES)
@pytest.mark.parametrize("series", list(Series))
def test_the_neighbours_are_those_of_eseries(series: Series, value: float) -> None:
    """An oracle: eseries 1.2.1."""
    theirs = eseries.ESeries[series.value]
    assert at_least(value, series).value == pytest.approx(eseries.find_greater_than_or_equal(theirs, value), rel=1e-12)
    assert at_most(value, series).value == pytest.approx(eseries.find_less_than_or_equal(theirs, value), rel=1e-12)


@pytest.mark.parametrize("value", VALUES)
@pytest.mark.parametrize("series", list(Series))
def test_the_nearest_value_is_that_of_eseries_or_nearer_by_ratio(series: Series, value: float) -> None:
    """An oracle: eseries 1.2.1, which measures nearness by difference; ours by ratio."""
    theirs = eseries.find_nearest(eseries.ESeries[series.value], value)
    ours = nearest(value, series).value
    assert max(ours / value, value / ours) <= max(theirs / value, value / theirs) * (1 + 1e-12)


@pytest.mark.parametrize("rated_v", [4, 6.3, 10, 16, 25, 35, 50, 63, 80, 100])
def test_each_rated_voltage_meets_its_own_need(rated_v: float) -> None:
    """MK-27: IEC 60384-4, R5 and R10 values, from memory; ranges seen on makers' sheets."""
    assert rated_voltage_at_least(rated_v) == rated_v


def test_a_need_of_six_volts_is_met_by_six_point_three() -> None:
    """MK-27: rated not below the original."""
    assert rated_voltage_at_least(6) == 6.3
    assert rated_voltage_at_least(6.4) == 10
