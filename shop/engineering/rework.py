"""Soldering and static at the bench: melting ranges, how far a hole must be filled, limits of static control."""

from dataclasses import dataclass
from enum import StrEnum

from shop.engineering.inputs import BadInput, Remark, in_range


@dataclass(frozen=True, slots=True)
class Alloy:
    """A solder: solid below solidus_c and liquid above liquidus_c, each within ± tolerance_k."""

    name: str
    solidus_c: float
    liquidus_c: float
    tolerance_k: float
    from_memory: bool = False


# Autodesk's handbook table; SAC305 from memory (J-STD-006, makers).
ALLOYS = {
    alloy.name: alloy
    for alloy in (
        Alloy("Sn63Pb37", 183, 183, 0),
        Alloy("Sn60Pb40", 183, 190, 2),
        Alloy("Sn50Pb50", 183, 216, 2),
        Alloy("Sn40Pb60", 183, 238, 2),
        Alloy("SAC305", 217, 220, 1, from_memory=True),
    )
}


@dataclass(frozen=True, slots=True)
class Tip:
    """How far a tip is above the alloy's liquidus, in kelvin, and what that means."""

    above_k: float
    remarks: tuple[Remark, ...] = ()


def tip(alloy: str, tip_c: float) -> Tip:
    """Return how a tip of 100 to 500 °C suits an alloy.

    Below the liquidus it does not melt; under 100 K above it joints come out dull and slow; over 180 K above it flux
    burns and pads lift (both common practice). Raises BadInput.
    """
    known = _alloy(alloy)
    in_range("tip_c", tip_c, "°C", 100, 500)
    above = tip_c - known.liquidus_c
    remarks = [Remark("hot_iron")]
    if above <= 0:
        remarks.append(Remark("does_not_melt", {"liquidus_c": known.liquidus_c}))
    elif above < 100:
        remarks.append(Remark("tip_rather_cold"))
    elif above > 180:
        remarks.append(Remark("tip_rather_hot"))
    if known.from_memory:
        remarks.append(Remark("from_memory", {"of": "alloy"}))
    return Tip(above, tuple(remarks))


class Fill(StrEnum):
    """Whether a plated hole is filled far enough."""

    PASS = "pass"  # noqa: S105
    FAIL = "fail"
    NOT_SPECIFIED = "not_specified"


@dataclass(frozen=True, slots=True)
class HoleFill:
    """The verdict, and the least fill in percent of the board's thickness; None where none is specified."""

    verdict: Fill
    least_percent: float | None


def hole_fill(product_class: int, leads: int, fill_percent: float, board_mm: float) -> HoleFill:
    """Return whether the vertical fill of a plated hole meets IPC-A-610F (2014), table 7-4.

    Class 3 asks for 75 %. Class 2 asks for 75 % with fewer than 14 leads, and from 14 leads for 50 % or 1.2 mm,
    whichever is less. For class 1 it is not specified. Board 0.2 to 6.4 mm, leads 1 to 2000. Raises BadInput.
    """
    in_range("product_class", product_class, "", 1, 3)
    in_range("leads", leads, "", 1, 2000)
    in_range("fill_percent", fill_percent, "%", 0, 100)
    in_range("board_mm", board_mm, "mm", 0.2, 6.4)
    if product_class == 1:
        return HoleFill(Fill.NOT_SPECIFIED, None)
    many = product_class == 2 and leads >= 14
    least = min(50.0, 1.2 / board_mm * 100) if many else 75.0
    return HoleFill(Fill.PASS if fill_percent >= least - 1e-9 else Fill.FAIL, least)


def least_wetting_degrees(product_class: int) -> float | None:
    """Return how far solder must wet around lead and barrel on the far side: 180° for class 2, 270° for class 3.

    None for class 1. Raises BadInput. Source: IPC-A-610F (2014), table 7-4.
    """
    in_range("product_class", product_class, "", 1, 3)
    return {1: None, 2: 180.0, 3: 270.0}[int(product_class)]


class Static(StrEnum):
    """What is measured for static control."""

    WRIST_STRAP = "wrist_strap"
    FLOOR_AND_SHOES = "floor_and_shoes"
    FLOOR_AND_SHOES_BODY = "floor_and_shoes_body"
    EQUIPMENT_GROUND = "equipment_ground"
    AUXILIARY_GROUND = "auxiliary_ground"
    BONDING = "bonding"
    MAT = "mat"
    ISOLATED_CONDUCTOR = "isolated_conductor"
    BODY_VOLTAGE = "body_voltage"


@dataclass(frozen=True, slots=True)
class Limit:
    """A limit of static control: from low to (not including, unless it is a mat's) high, its unit and its source."""

    low: float
    high: float
    unit: str
    source: str


STATIC_LIMITS = {
    Static.WRIST_STRAP: Limit(0, 3.5e7, "Ω", "ANSI/ESD S20.20-2007"),
    Static.FLOOR_AND_SHOES: Limit(0, 3.5e7, "Ω", "ANSI/ESD S20.20-2007, method 1"),
    Static.FLOOR_AND_SHOES_BODY: Limit(0, 1e9, "Ω", "ANSI/ESD S20.20-2007, method 2, with less than 100 V on the body"),
    Static.BODY_VOLTAGE: Limit(0, 100, "V", "ANSI/ESD S20.20-2007, method 2"),
    Static.EQUIPMENT_GROUND: Limit(0, 1, "Ω", "ANSI/ESD S20.20-2021, table 1"),
    Static.AUXILIARY_GROUND: Limit(0, 25, "Ω", "ANSI/ESD S20.20-2021, table 1"),
    Static.BONDING: Limit(0, 1e9, "Ω", "ANSI/ESD S20.20-2021, table 1"),
    Static.MAT: Limit(1e6, 1e9, "Ω", "fishhawktechnology.com (secondary)"),
    Static.ISOLATED_CONDUCTOR: Limit(0, 35, "V", "ANSI/ESD S20.20-2021"),
}
# What the standard's programme protects: parts that withstand these volts or more (ANSI/ESD S20.20-2021).
HUMAN_BODY_V, CHARGED_DEVICE_V = 100, 200


def static_within(what: Static, measured: float) -> bool:
    """Tell whether a measured value, in the limit's unit, keeps it. Raises BadInput."""
    limit = STATIC_LIMITS[what]
    in_range("measured", measured, limit.unit, 0, 1e15)
    return limit.low <= measured <= limit.high if what is Static.MAT else measured < limit.high


def _alloy(name: str) -> Alloy:
    if name not in ALLOYS:
        raise BadInput("not_one_of", "alloy", given=name, choices=tuple(ALLOYS))
    return ALLOYS[name]
