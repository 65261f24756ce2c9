"""Whether a linear regulator gets enough input and not too much, from weak mains to strong, and what it should give."""

from dataclasses import dataclass

from shop.engineering.inputs import BadInput, Remark, in_range

_HIGHEST_V = 60.0


@dataclass(frozen=True, slots=True)
class Window:
    """The lowest and highest input in volts, and what is left above dropout and below the rating (below zero: not).

    lowest_v is the valley of the ripple at weak mains, highest_v the peak without ripple at strong mains.
    """

    lowest_v: float
    highest_v: float
    above_dropout_v: float
    below_rating_v: float
    remarks: tuple[Remark, ...] = ()

    @property
    def holds(self) -> bool:
        """Tell whether the regulator regulates from weak to strong mains, and its rating is kept."""
        return self.above_dropout_v >= 0 and self.below_rating_v >= 0


def input_window(
    input_v: float,
    output_v: float,
    *,
    dropout_v: float = 2.0,
    rating_v: float = 35.0,
    ripple_vpp: float = 0.0,
    mains_low_percent: float = 10.0,
    mains_high_percent: float = 10.0,
) -> Window:
    """Return how far an unregulated input of input_v (its peak at nominal mains) stays inside a regulator's window.

    The input follows the mains, down and up by the percentages (0 to 30); ripple_vpp takes the valley down, and is at
    most the peak at weak mains. A 7805 drops 2 V typically at 1 A (Fairchild LM78XX), so that its sheet asks for 7 V;
    a rating of 35 V is usual up to 18 V out (from memory). Measure input_v under full load for the weak side and
    without load for the strong side, where a small transformer gives more (common practice). Voltages up to 60 V,
    dropout up to 5 V, rating from the output to 100 V. Raises BadInput.
    """
    in_range("output_v", output_v, "V", 0, _HIGHEST_V, low_open=True)
    in_range("input_v", input_v, "V", 0, _HIGHEST_V, low_open=True)
    in_range("dropout_v", dropout_v, "V", 0, 5)
    in_range("rating_v", rating_v, "V", output_v, 100)
    in_range("mains_low_percent", mains_low_percent, "%", 0, 30)
    in_range("mains_high_percent", mains_high_percent, "%", 0, 30)
    weak_peak_v = input_v * (1 - mains_low_percent / 100)
    in_range("ripple_vpp", ripple_vpp, "V", 0, weak_peak_v)
    lowest_v = weak_peak_v - ripple_vpp
    highest_v = input_v * (1 + mains_high_percent / 100)
    above, below = lowest_v - (output_v + dropout_v), rating_v - highest_v
    remarks = [Remark("mains_side")]
    if above < 0:
        remarks.append(Remark("hum_at_weak_mains", {"missing_v": -above}))
    if below < 0:
        remarks.append(Remark("too_much_at_strong_mains", {"over_v": -below}))
    return Window(lowest_v, highest_v, above, below, tuple(remarks))


def reservoir_ripple_vpp(
    load_a: float, capacitance_f: float, mains_hz: float = 60.0, *, full_wave: bool = True
) -> float:
    """Return the ripple, in volts peak to peak, that a load draws into a reservoir capacitor: I / (f C).

    f is twice the mains' with a full-wave rectifier. It overstates a little, since it lets the capacitor feed the load
    for the whole period (textbook approximation, common practice). Load up to 10 A, mains 40 to 500 Hz, capacitance up
    to 1 F and so large that the ripple stays below 60 V, since there is no more to take it from. Raises BadInput.
    """
    in_range("load_a", load_a, "A", 0, 10)
    in_range("mains_hz", mains_hz, "Hz", 40, 500)
    charges_hz = mains_hz * (2 if full_wave else 1)
    in_range("capacitance_f", capacitance_f, "F", max(1e-6, load_a / (charges_hz * _HIGHEST_V)), 1)
    return load_a / (charges_hz * capacitance_f)


@dataclass(frozen=True, slots=True)
class OutputLimits:
    """What a fixed regulator may give, in volts, and whether that is from memory."""

    low_v: float
    typical_v: float
    high_v: float
    from_memory: bool = False


def output_limits(nominal_v: float, *, loaded: bool) -> OutputLimits:
    """Return the limits of a 78xx of 5, 6, 8, 9, 12, 15, 18 or 24 V: ± 4 % at 25 °C, ± 5 % over load and input.

    5 V was read (Fairchild LM78XX Rev 1.3.1: 4.80 to 5.20 V at 500 mA and 10 V in; 4.75 to 5.25 V from 5 mA to 1 A and
    7 to 20 V in); the others are from memory. Raises BadInput with `not_one_of`.
    """
    known = (5.0, 6.0, 8.0, 9.0, 12.0, 15.0, 18.0, 24.0)
    if nominal_v not in known:
        raise BadInput("not_one_of", "nominal_v", given=nominal_v, choices=known)
    part = 0.05 if loaded else 0.04
    low, high = round(nominal_v * (1 - part), 6), round(nominal_v * (1 + part), 6)
    return OutputLimits(low, nominal_v, high, from_memory=nominal_v != 5.0)


# Fairchild LM78XX Rev 1.3.1, the 5 V part: volts, amperes, decibels.
LINE_REGULATION_V = 0.100  # 7 to 25 V in
LOAD_REGULATION_V = 0.100  # 5 mA to 1.5 A
QUIESCENT_TYPICAL_A, QUIESCENT_MOST_A = 0.005, 0.008
RIPPLE_REJECTION_DB = 62.0


_SWITCHING_CHANGES = (
    "switching_ripple",
    "switching_footprint",
    "switching_radio_noise",
    "switching_output_capacitor",
    "switching_minimum_load",
)


@dataclass(frozen=True, slots=True)
class Switching:
    """A switching replacement beside the linear one: watts of heat, amperes drawn, and what changes."""

    linear_heat_w: float
    switching_heat_w: float
    linear_input_a: float
    switching_input_a: float
    better: bool
    remarks: tuple[Remark, ...] = ()


def switching_instead(
    input_v: float, output_v: float, load_a: float, *, efficiency: float = 0.85, bearable_w: float = 1.5
) -> Switching:
    """Return what a switching regulator in a linear one's place would save, and what it changes.

    It is called better when the linear one's heat is above bearable_w (1.5 W is what a bare TO-220 sheds, RG-07) and
    the switching one's below. efficiency 0.5 to 0.98, voltages up to 60 V, load up to 10 A. The remarks (ripple,
    footprint, radio noise, output capacitor, minimum load) are common practice, as is that such a part wants 1 to 3 V
    more in than out. Raises BadInput.
    """
    in_range("output_v", output_v, "V", 0, _HIGHEST_V, low_open=True)
    in_range("input_v", input_v, "V", output_v, _HIGHEST_V)
    in_range("load_a", load_a, "A", 0, 10)
    in_range("efficiency", efficiency, "", 0.5, 0.98)
    in_range("bearable_w", bearable_w, "W", 0.1, 50)
    linear_w, delivered_w = (input_v - output_v) * load_a, output_v * load_a
    switching_w = delivered_w * (1 / efficiency - 1)
    return Switching(
        linear_heat_w=linear_w,
        switching_heat_w=switching_w,
        linear_input_a=load_a,
        switching_input_a=delivered_w / efficiency / input_v,
        better=linear_w > bearable_w >= switching_w,
        remarks=tuple(Remark(code) for code in _SWITCHING_CHANGES),
    )
