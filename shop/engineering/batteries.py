"""Save batteries: what a name says, how long one keeps a memory, and what must never take its place.

Names after IEC 60086-3. Capacities by part were read on secondary pages only and are ranges over makers.
"""

import math
import re
from dataclasses import dataclass
from enum import StrEnum

from shop.engineering.inputs import BadInput, Remark, in_range, positive

YEAR_H = 8766.0
CHARGE_LIMITS_V = (4.158, 4.242)  # a lithium-ion cell: 4.20 V ± 1 %
TAPER = (1 / 20, 1 / 10)  # charging ends at C/20 to C/10, and there is no trickle


class Chemistry(StrEnum):
    """What a cell is made of; only the last two may be charged."""

    LITHIUM_MANGANESE = "CR"
    LITHIUM_CARBON_FLUORIDE = "BR"
    ALKALINE = "LR"
    SILVER_OXIDE = "SR"
    LITHIUM_ION = "LIR"
    VANADIUM_LITHIUM = "VL"

    @property
    def rechargeable(self) -> bool:
        """Tell whether the cell may be charged at all."""
        return self in (Chemistry.LITHIUM_ION, Chemistry.VANADIUM_LITHIUM)

    @property
    def nominal_v(self) -> float:
        """Return the nominal voltage (CR and BR read; LR, SR, LIR and VL from memory)."""
        return {"CR": 3.0, "BR": 2.8, "LR": 1.5, "SR": 1.55, "LIR": 3.6, "VL": 3.0}[self.value]


CUT_OFF_V = 2.0  # of a CR cell
# mAh, low and high over makers: secondary pages only. BR2032 from one page.
CAPACITY_MAH = {"CR2032": (210, 240), "CR2025": (150, 170), "CR2016": (75, 100), "BR2032": (190, 190)}
# CR2032, one secondary page: standard drain, most continuous, pulse, in amperes.
DRAIN_A = {"standard": 0.0002, "continuous": 0.003, "pulse": 0.015}
_NAME = re.compile(r"(LIR|CR|BR|LR|SR|VL)([0-9]{3,4})")


@dataclass(frozen=True, slots=True)
class Cell:
    """A round cell: its name, what it is made of, its size in millimetres, and its capacity in mAh where known."""

    name: str
    chemistry: Chemistry
    diameter_mm: float
    height_mm: float
    capacity_mah: tuple[float, float] | None


def cell_named(name: str) -> Cell:
    """Read a name such as CR2032: chemistry, whole millimetres of diameter, tenths of height. Raises BadInput.

    The last two digits are the height in tenths of a millimetre, those before the diameter in whole ones (IEC 60086-3).
    """
    typed = name.strip().upper().replace(" ", "")
    found = _NAME.fullmatch(typed)
    if found is None:
        raise BadInput("unreadable", "name", given=name, like=("CR2032", "CR1220"))
    digits = found[2]
    diameter, height = int(digits[:-2]), int(digits[-2:]) / 10
    if not (3 <= diameter <= 30 and 0.8 <= height <= 12):
        raise BadInput("unreadable", "name", given=name, like=("CR2032", "CR1220"))
    return Cell(typed, Chemistry(found[1]), diameter, height, CAPACITY_MAH.get(typed))


@dataclass(frozen=True, slots=True)
class Standby:
    """How long a cell keeps a memory: hours by the drain alone, and hours with self-discharge."""

    drain_only_h: float
    hours_h: float
    remarks: tuple[Remark, ...] = ()


def standby(capacity_mah: float, drain_ua: float, self_discharge_percent_year: float = 1.0) -> Standby:
    """Return how long a cell of 1 to 10 000 mAh lasts at a constant drain of 0.01 µA to 15 mA.

    Self-discharge takes a share of what is left (0 to 50 % a year; 1 % is usual for lithium primaries, common
    practice): with dQ/dt = −I − kQ the cell is empty after ln(1 + k Q₀ / I) / k. A remark warns above ten years, which
    is about a cell's shelf life, and above the standard drain of 0.2 mA. Raises BadInput.
    """
    in_range("capacity_mah", capacity_mah, "mAh", 1, 10_000)
    in_range("drain_ua", drain_ua, "µA", 0.01, 15_000)
    in_range("self_discharge_percent_year", self_discharge_percent_year, "%", 0, 50)
    plain_h = capacity_mah * 1000 / drain_ua
    rate = -math.log1p(-self_discharge_percent_year / 100) / YEAR_H
    hours = math.log1p(rate * plain_h) / rate if rate else plain_h
    remarks = []
    if hours > 10 * YEAR_H:
        remarks.append(Remark("beyond_shelf_life", {"years": hours / YEAR_H}))
    if drain_ua > DRAIN_A["standard"] * 1e6:
        remarks.append(Remark("above_standard_drain", {"drain_ma": drain_ua / 1000}))
    return Standby(plain_h, hours, tuple(remarks))


class Swap(StrEnum):
    """Whether one cell may take another's place."""

    MAY = "may"
    MUST_NOT = "must_not"


@dataclass(frozen=True, slots=True)
class SwapAnswer:
    """Whether a cell may take the place of another, and why not."""

    answer: Swap
    reasons: tuple[Remark, ...]
    remarks: tuple[Remark, ...] = ()


def swap(fitted: str, offered: str, *, board_charges: bool) -> SwapAnswer:
    """Return whether a cell of one name may take the place of another.

    A rechargeable must not stand in for a primary (nothing there limits its charge, and its voltage is another), a
    primary must not go where the board charges, another diameter or height does not fit a holder, and another nominal
    voltage (by more than 0.3 V) does not suit the board. Sources: maker's handbook note "not rechargeable"; common
    practice. Raises BadInput for a name that cannot be read.
    """
    was, new = cell_named(fitted), cell_named(offered)
    reasons = []
    if new.chemistry.rechargeable and not was.chemistry.rechargeable:
        reasons.append(Remark("rechargeable_for_primary", {"fitted": was.name, "offered": new.name}))
    if board_charges and not new.chemistry.rechargeable:
        reasons.append(Remark("primary_would_be_charged", {"offered": new.name}))
    if (was.diameter_mm, was.height_mm) != (new.diameter_mm, new.height_mm):
        reasons.append(Remark("other_size", {"diameter_mm": new.diameter_mm, "height_mm": new.height_mm}))
    if abs(was.chemistry.nominal_v - new.chemistry.nominal_v) > 0.3:
        reasons.append(Remark("other_voltage", {"volts_v": new.chemistry.nominal_v}))
    cautions = (Remark("lithium_cell"),) if "R" in new.name[:2] and new.chemistry.value in ("CR", "BR", "LIR") else ()
    return SwapAnswer(Swap.MUST_NOT if reasons else Swap.MAY, tuple(reasons), cautions)


def charging_voltage_is_right(measured_v: float) -> bool:
    """Tell whether a lithium-ion cell of 4.20 V is charged within ± 1 %: 0 to 30 V. Raises BadInput."""
    positive("measured_v", measured_v, "V", 30)
    return CHARGE_LIMITS_V[0] <= measured_v <= CHARGE_LIMITS_V[1]
