"""Heat of a linear regulator: what it turns into heat, how hot its junction gets, and what heatsink that asks for.

No result says that a thing is safe: a tab may be live, and a heatsink hot enough to burn.
"""

from dataclasses import dataclass
from enum import StrEnum

from shop.engineering.inputs import BadInput, Remark, in_range

KELVIN_W = "°C/W"
_HIGHEST_V, _HIGHEST_A = 60.0, 10.0
_LEAST_W = 0.001


@dataclass(frozen=True, slots=True)
class Thermal:
    """Thermal figures of one maker's TO-220 regulator, in °C/W: junction to tab, and to free air where it is given.

    A heatsink on the tab takes the figure to the tab, never the one to the top of the package. A figure of a part that
    is soldered to a board says nothing about free air.
    """

    maker: str
    part: str
    junction_tab_k_w: float
    free_air_k_w: float | None
    source: str
    junction_top_k_w: float | None = None
    on_board_k_w: float | None = None


MAKERS = (
    Thermal("Fairchild", "LM78XX", 5.0, 65.0, "LM78XX data sheet Rev 1.3.1"),
    Thermal("ST", "L7800", 5.0, 50.0, "L7800 series data sheet Rev 12, 2004"),
    Thermal("National", "LM2940", 4.0, 60.0, "LM2940 data sheet"),
    Thermal("TI", "µA7805 KCS", 3.0, None, "element14 thread 72653", junction_top_k_w=17.0, on_board_k_w=19.0),
)
# From this on a bare package needs no heatsink: National, LM341 data sheet page 7.
BARE_LIMIT_K_W = {"TO-220": 60.0, "TO-252": 92.0}
# Lowest and highest junction, °C: National LM341 data sheet; ST L7800 series data sheet Rev 12.
JUNCTION_RANGE_C = {"LM341": (0.0, 125.0), "L7800C": (0.0, 150.0), "L7800": (-55.0, 150.0)}
# No bare regulator sheds better: TO-220 has 50 to 65, a metal TO-3 about 35 (from memory); 19 is one on a board.
_BEST_BARE_K_W = 30.0


def dissipation_w(input_v: float, output_v: float, load_a: float, ground_a: float = 0.0) -> float:
    """Return what a linear regulator turns into heat, in watts: (Vin − Vout) · I + Vin · Ig.

    Voltages up to 60 V (for a negative regulator without their signs), load up to 10 A, ground current up to 0.1 A.
    Raises BadInput, also when the input is below the output. Source: National, LM341 design considerations.
    """
    in_range("output_v", output_v, "V", 0, _HIGHEST_V, low_open=True)
    in_range("input_v", input_v, "V", output_v, _HIGHEST_V)
    in_range("load_a", load_a, "A", 0, _HIGHEST_A)
    in_range("ground_a", ground_a, "A", 0, 0.1)
    return (input_v - output_v) * load_a + input_v * ground_a


def most_load_a(heat_w: float, input_v: float, output_v: float, ground_a: float = 0.0) -> float:
    """Return the load, in amperes, at which a linear regulator turns heat_w into heat: (P − Vin · Ig) / (Vin − Vout).

    Heat from what the ground current makes to 100 W, input at least 0.1 V above the output and up to 60 V. The
    regulator's own current limit stands besides. Raises BadInput. Source: `dissipation_w`, turned round.
    """
    in_range("output_v", output_v, "V", 0, _HIGHEST_V - 0.1, low_open=True)
    in_range("input_v", input_v, "V", output_v + 0.1, _HIGHEST_V)
    in_range("ground_a", ground_a, "A", 0, 0.1)
    in_range("heat_w", heat_w, "W", input_v * ground_a, 100)
    return (heat_w - input_v * ground_a) / (input_v - output_v)


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
    is that inside the closed case, which is warmer than the room. Raises BadInput. Source: National, LM341 sheet.
    """
    in_range("power_w", power_w, "W", 0, 100)
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


def most_without_heatsink_w(free_air_k_w: float, ambient_c: float, limit_c: float = 125.0) -> float:
    """Return the power, in watts, that brings the junction just to its limit in free air.

    free_air_k_w 30 to 300 °C/W: less is a figure for a part on a board. Temperatures as `junction`. Raises BadInput.
    """
    in_range("free_air_k_w", free_air_k_w, KELVIN_W, _BEST_BARE_K_W, 300)
    _temperatures(ambient_c, limit_c)
    return (limit_c - ambient_c) / free_air_k_w


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

    free_air_k_w is the part's own resistance from junction to air (BARE_LIMIT_K_W), 30 to 300 °C/W and not below
    junction_case_k_w: what allows that much or more needs no sink. With a tab on a heatsink use the resistance to the
    tab, never that to the top of the package. Power above 0 (less than 1 mW counts as 1 mW) to 100 W, junction to case
    0.1 to 100 and case to sink 0 to 20 °C/W, temperatures as `junction`. Raises BadInput. Source: National, LM341.
    """
    in_range("power_w", power_w, "W", 0, 100, low_open=True)
    _temperatures(ambient_c, limit_c)
    in_range("junction_case_k_w", junction_case_k_w, KELVIN_W, 0.1, 100)
    in_range("case_sink_k_w", case_sink_k_w, KELVIN_W, 0, 20)
    in_range("free_air_k_w", free_air_k_w, KELVIN_W, max(_BEST_BARE_K_W, junction_case_k_w), 300)
    allowed = (limit_c - ambient_c) / max(power_w, _LEAST_W)
    sink = allowed - junction_case_k_w - case_sink_k_w
    if allowed >= free_air_k_w:
        return Heatsink(Need.NONE, allowed, None, (Remark("air_inside_the_case"),))
    if sink <= 0:
        return Heatsink(Need.BEYOND, allowed, None, (Remark("no_heatsink_can"),))
    return Heatsink(Need.HEATSINK, allowed, sink, (Remark("tab_may_be_live"), Remark("hot_heatsink")))


def _temperatures(ambient_c: float, limit_c: float) -> None:
    in_range("limit_c", limit_c, "°C", 25, 200)
    in_range("ambient_c", ambient_c, "°C", -40, 100)
    if ambient_c >= limit_c:
        raise BadInput("out_of_range", "ambient_c", value=ambient_c, low=-40, high=limit_c, high_open=True, unit="°C")
