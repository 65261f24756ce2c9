"""Source, series resistor and load of a video line: what level arrives, and what a wrong level tells.

A line of 75 ohm is fed through 75 ohm and ends in 75 ohm, so the source stands at twice the level. Sources: NI, video
levels (1 V at the load is 2 V open); the rest is the voltage divider. That a source further than 10 % from 75 ohm
deserves a remark, and how near to a known fault a level counts as that fault, are common practice.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

from shop.engineering.inputs import Remark, in_range
from shop.engineering.video_levels import NOMINAL_VPP, WINDOW_DB, VideoSignal

LINE_OHM = 75.0
LOGIC_SYNC_VPP = 0.3
_MATCH = 0.1
_LEAST_V, _MOST_V = 1e-4, 30.0
_MOST_OHM = 1e6
_LEAST_SHARE = 1e-7
_MOST_INPUT_V = NOMINAL_VPP[VideoSignal.COMPOSITE] * 10 ** (WINDOW_DB / 20)


class Cause(StrEnum):
    """What a measured level points to; the first is as it should be."""

    ONE_LOAD = "one_load"
    NO_LOAD = "no_load"
    NO_SERIES_RESISTOR = "no_series_resistor"
    TWO_LOADS = "two_loads"
    TWO_SERIES_RESISTORS = "two_series_resistors"


@dataclass(frozen=True, slots=True)
class LineLevels:
    """What a source gives: open, into one load of 75 ohm and into two; the current is that into one load."""

    open_v: float
    terminated_v: float
    double_terminated_v: float
    current_a: float
    return_loss_db: float | None
    remarks: tuple[Remark, ...]


@dataclass(frozen=True, slots=True)
class SeriesResistor:
    """The resistor that brings a source down to a level, with its current and dissipation at that level held."""

    series_ohm: float
    current_a: float
    power_w: float
    remarks: tuple[Remark, ...]


@dataclass(frozen=True, slots=True)
class Suspect:
    """A cause that would give expected_v; off_db is the measured level against that."""

    cause: Cause
    expected_v: float
    off_db: float


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """The causes that a measured level agrees with, the nearest first, and its distance from nominal."""

    deviation_db: float
    suspects: tuple[Suspect, ...]
    remarks: tuple[Remark, ...]


def line_levels(source_v: float, series_ohm: float = LINE_OHM, output_ohm: float = 0.0) -> LineLevels:
    """Return the levels that a source of 0.1 mV to 30 V gives through a series resistor of 0 to 1 Mohm.

    source_v is the open-circuit swing or level, such as that of a logic sync; output_ohm, 0 to 1 Mohm, is what the
    source has inside (a real logic output sags further: measure its swing). return_loss_db is None for a source of
    exactly 75 ohm. Valid for resistive loads. Raises BadInput `out_of_range` or `not_finite`. Remarks:
    `source_not_75_ohm` (facts source_ohm, return_loss_db) when it is over 10 % off; `above_input_level` (facts level_v,
    high_v) when one load gets more than composite may have, 1 V + 2 dB.
    """
    in_range("source_v", source_v, "V", _LEAST_V, _MOST_V)
    in_range("series_ohm", series_ohm, "ohm", 0, _MOST_OHM)
    in_range("output_ohm", output_ohm, "ohm", 0, _MOST_OHM)
    source_ohm = series_ohm + output_ohm
    terminated_v = _divided(source_v, source_ohm, LINE_OHM)
    remarks = _match_remarks(source_ohm)
    if terminated_v > _MOST_INPUT_V:
        remarks = (*remarks, Remark("above_input_level", {"level_v": terminated_v, "high_v": _MOST_INPUT_V}))
    return LineLevels(
        open_v=source_v,
        terminated_v=terminated_v,
        double_terminated_v=_divided(source_v, source_ohm, LINE_OHM / 2),
        current_a=terminated_v / LINE_OHM,
        return_loss_db=_return_loss_db(source_ohm),
        remarks=remarks,
    )


def open_level_v(terminated_v: float, source_ohm: float = LINE_OHM) -> float:
    """Return the open-circuit level, V, of a source of 0 to 1 Mohm that gives 0.1 mV to 30 V into 75 ohm.

    Twice the level for a source of 75 ohm (NI). Raises BadInput `out_of_range` or `not_finite`.
    """
    in_range("terminated_v", terminated_v, "V", _LEAST_V, _MOST_V)
    in_range("source_ohm", source_ohm, "ohm", 0, _MOST_OHM)
    return terminated_v * (source_ohm + LINE_OHM) / LINE_OHM


def series_resistor_for(
    source_v: float, wanted_v: float = LOGIC_SYNC_VPP, output_ohm: float = 0.0, load_ohm: float = LINE_OHM
) -> SeriesResistor:
    """Return the resistor that brings a source of 0.1 mV to 30 V down to a wanted level at the load.

    The defaults are a logic sync at 75 ohm: 0.3 V peak to peak. wanted_v is 1e-7 of the source or more;
    output_ohm, 0 to 1 Mohm, is what the source has inside; load_ohm is 1 ohm to 1 Mohm. power_w is that of a steady
    level; a sync pulse heats less. Raises BadInput `out_of_range`, such as for a level that the source does not reach
    (fact high), or `not_finite`. Remark `source_not_75_ohm` like `line_levels`, for a load of 75 ohm.
    """
    in_range("source_v", source_v, "V", _LEAST_V, _MOST_V)
    in_range("output_ohm", output_ohm, "ohm", 0, _MOST_OHM)
    in_range("load_ohm", load_ohm, "ohm", 1, _MOST_OHM)
    in_range("wanted_v", wanted_v, "V", _LEAST_SHARE * source_v, _divided(source_v, output_ohm, load_ohm))
    current_a = wanted_v / load_ohm
    # Rounding may leave a hair below zero when the wanted level is the highest there is.
    series_ohm = max(0.0, source_v / current_a - load_ohm - output_ohm)
    remarks = _match_remarks(series_ohm + output_ohm) if load_ohm == LINE_OHM else ()
    return SeriesResistor(series_ohm, current_a, current_a**2 * series_ohm, remarks)


def diagnose_level(measured_v: float, nominal_v: float, source_ohm: float = LINE_OHM) -> Diagnosis:
    """Return what a level of 0.1 mV to 30 V points to where nominal_v, 1 mV to 10 V, ought to be at one load.

    source_ohm is what the source ought to have, 1 ohm to 10 kohm. A cause is a suspect when its level is within 2 dB.
    With 75 ohm a level of twice the nominal is a missing load or a missing series resistor, one of two thirds is two
    loads or two series resistors (one in the unit, one in the cable): measured without and with one load they part.
    Raises BadInput `out_of_range` or `not_finite`. Remarks: `several_causes` (fact causes) when more than one fits,
    `no_known_cause` (fact deviation_db) when none does.
    """
    in_range("measured_v", measured_v, "V", _LEAST_V, _MOST_V)
    in_range("nominal_v", nominal_v, "V", 1e-3, 10)
    in_range("source_ohm", source_ohm, "ohm", 1, 1e4)
    open_v = open_level_v(nominal_v, source_ohm)
    expected = {
        Cause.ONE_LOAD: nominal_v,
        Cause.NO_LOAD: open_v,
        Cause.NO_SERIES_RESISTOR: open_v,
        Cause.TWO_LOADS: _divided(open_v, source_ohm, LINE_OHM / 2),
        Cause.TWO_SERIES_RESISTORS: _divided(open_v, 2 * source_ohm, LINE_OHM),
    }
    found = [Suspect(cause, level_v, 20 * math.log10(measured_v / level_v)) for cause, level_v in expected.items()]
    suspects = sorted((each for each in found if abs(each.off_db) <= WINDOW_DB), key=lambda each: abs(each.off_db))
    deviation_db = 20 * math.log10(measured_v / nominal_v)
    remarks: tuple[Remark, ...] = ()
    if not suspects:
        remarks = (Remark("no_known_cause", {"deviation_db": deviation_db}),)
    elif len(suspects) > 1:
        remarks = (Remark("several_causes", {"causes": tuple(each.cause.value for each in suspects)}),)
    return Diagnosis(deviation_db, tuple(suspects), remarks)


def _divided(source_v: float, series_ohm: float, load_ohm: float) -> float:
    # In this form rounding keeps the order: the level never exceeds the source, nor falls with a lighter load.
    return source_v / (1 + series_ohm / load_ohm)


def _return_loss_db(source_ohm: float) -> float | None:
    if source_ohm == LINE_OHM:
        return None
    return 20 * math.log10((source_ohm + LINE_OHM) / abs(source_ohm - LINE_OHM))


def _match_remarks(source_ohm: float) -> tuple[Remark, ...]:
    if abs(source_ohm - LINE_OHM) <= _MATCH * LINE_OHM:
        return ()
    return (Remark("source_not_75_ohm", {"source_ohm": source_ohm, "return_loss_db": _return_loss_db(source_ohm)}),)
