"""Heat of a linear regulator: what it turns into heat, how hot its junction gets, and what heatsink that asks for.

No result says that a thing is safe: a tab may be live, and a heatsink hot enough to burn.
"""

from dataclasses import dataclass
from enum import StrEnum

from shop.engineering.inputs import BadInput, Remark, in_range

KELVIN_W = "°C/W"
_HIGHEST_V, _HIGHEST_A = 60.0, 10.0


@dataclass(frozen=True, slots=True)
class Thermal:
    """Thermal figures of one maker's regulator: °C/W from junction to case and to air, and junction limits in °C."""

    maker: str
    package: str
    junction_case: float | None
    junction_air: float | None
    junction_low_c: float
    junction_high_c: float
    source: str


# Makers differ, so a figure is quoted with its maker; a board-mounted figure (19 °C/W) is not one for free air.
MAKERS = (
    Thermal("Fairchild", "TO-220", 5.0, 65.0, 0, 125, "LM78XX Rev 1.3.1"),
    Thermal("ST", "TO-220", 5.0, 50.0, 0, 150, "L7800 series Rev 12, 2004; L7800C"),
    Thermal("National", "TO-220", 4.0, 60.0, 0, 125, "LM2940; range of the LM341"),
)


def dissipation_w(input_v: float, output_v: float, load_a: float, ground_a: float = 0.0) -> float:
    """Return what a linear regulator turns into heat, in watts: (Vin − Vout) · I + Vin · Ig.

    Voltages up to 60 V, load up to 10 A, ground current up to 0.1 A. Raises BadInput, also when the input is below the
    output. Source: National, LM341 design considerations.
    """
    in_range("output_v", output_v, "V", 0, _HIGHEST_V, low_open=True)
    in_range("input_v", input_v, "V", output_v, _HIGHEST_V)
    in_range("load_a", load_a, "A", 0, _HIGHEST_A)
    in_range("ground_a", ground_a, "A", 0, 0.1)
    return (input_v - output_v) * load_a + input_v * ground_a


class Keeps(StrEnum):
    """Whether a junction keeps its limit."""

    WITHIN = "within"
    TOO_HOT = "too_hot"


@dataclass(frozen=True, slots=True)
class Junction:
    """The junction's temperature in °C, what is left to the limit in kelvin (below zero when it is passed)."""

    junction_c: float
    margin_k: float
    keeps: Keeps
    remarks: tuple[Remark, ...] = ()


def junction(power_w: float, resistance_k_w: float, ambient_c: float, limit_c: float = 125.0) -> Junction:
    """Return how hot the junction gets: ambient + power · thermal resistance from junction to air.

    Power 0 to 100 W, resistance 0.1 to 300 °C/W, ambient −40 to 100 °C, limit up to 200 °C and above ambient. The air
    is that inside the closed case, which is warmer than the room. Raises BadInput.
    """
    _power(power_w)
    in_range("resistance_k_w", resistance_k_w, KELVIN_W, 0.1, 300)
    _temperatures(ambient_c, limit_c)
    hot_c = ambient_c + power_w * resistance_k_w
    margin_k = limit_c - hot_c
    remarks = [Remark("air_inside_the_case")]
    if margin_k < 0:
        remarks.append(Remark("shuts_down_or_fails", {"limit_c": limit_c}))
    elif margin_k < 25:
        remarks.append(Remark("little_margin", {"margin_k": margin_k}))
    return Junction(hot_c, margin_k, Keeps.WITHIN if margin_k >= 0 else Keeps.TOO_HOT, tuple(remarks))


def most_without_heatsink_w(resistance_k_w: float, ambient_c: float, limit_c: float = 125.0) -> float:
    """Return the power, in watts, that brings the junction just to its limit in free air. Ranges as `junction`."""
    in_range("resistance_k_w", resistance_k_w, KELVIN_W, 0.1, 300)
    _temperatures(ambient_c, limit_c)
    return (limit_c - ambient_c) / resistance_k_w


class Need(StrEnum):
    """Whether a heatsink is needed."""

    NONE = "none"
    HEATSINK = "heatsink"
    BEYOND = "beyond"


@dataclass(frozen=True, slots=True)
class Heatsink:
    """Whether a heatsink is needed and, if one can do, the most it may have in °C/W from sink to air.

    allowed_k_w is what lies between junction and air all together; a BEYOND means that no heatsink is good enough.
    """

    need: Need
    allowed_k_w: float
    sink_k_w: float | None
    remarks: tuple[Remark, ...] = ()


def heatsink(
    power_w: float,
    ambient_c: float,
    *,
    limit_c: float = 125.0,
    junction_case_k_w: float = 5.0,
    case_sink_k_w: float = 1.0,
    free_air_k_w: float = 60.0,
) -> Heatsink:
    """Return whether a part needs a heatsink, and how good: θSA = (TJ − TA)/P − θJC − θCS.

    free_air_k_w is the part's own resistance from junction to air (TO-220 60, TO-252 92 in the LM341 sheet): what
    allows that much or more needs no sink. With a tab on a heatsink use the resistance to the tab, never that to the
    top of the package. Ranges as `junction`, power above 0. Raises BadInput. Source: National, LM341 sheet.
    """
    in_range("power_w", power_w, "W", 0, 100, low_open=True)
    _temperatures(ambient_c, limit_c)
    in_range("junction_case_k_w", junction_case_k_w, KELVIN_W, 0.1, 100)
    in_range("case_sink_k_w", case_sink_k_w, KELVIN_W, 0, 20)
    in_range("free_air_k_w", free_air_k_w, KELVIN_W, junction_case_k_w, 300)
    allowed = (limit_c - ambient_c) / power_w
    sink = allowed - junction_case_k_w - case_sink_k_w
    if allowed >= free_air_k_w:
        return Heatsink(Need.NONE, allowed, None, (Remark("air_inside_the_case"),))
    if sink <= 0:
        return Heatsink(Need.BEYOND, allowed, None, (Remark("no_heatsink_can"),))
    return Heatsink(Need.HEATSINK, allowed, sink, (Remark("tab_may_be_live"), Remark("hot_heatsink")))


def _power(power_w: float) -> None:
    in_range("power_w", power_w, "W", 0, 100)


def _temperatures(ambient_c: float, limit_c: float) -> None:
    in_range("limit_c", limit_c, "°C", 25, 200)
    in_range("ambient_c", ambient_c, "°C", -40, 100)
    if ambient_c >= limit_c:
        raise BadInput("out_of_range", "ambient_c", value=ambient_c, low=-40, high=limit_c, high_open=True, unit="°C")
