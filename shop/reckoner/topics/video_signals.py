"""Video beside the levels: switching lines, line and field timing, colours."""

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as later

from shop.engineering import video_switching as switching
from shop.engineering.video_colour import colour_bars
from shop.engineering.video_difference import srgb_difference
from shop.engineering.video_switching import Switching
from shop.engineering.video_timing import LineSystem, progressive_timing, standard_timing
from shop.reckoner.forms import Answer, Asked, Chapter, Figure, Given, Kind, Reckoning, Words
from shop.reckoner.remarks import worded
from shop.reckoner.showing import number, shown
from shop.reckoner.topics.video import SYSTEM

_SAYS: dict[Switching, Words] = {
    Switching.OFF: later("off: the set's own picture"),
    Switching.WIDE: later("a 16:9 source"),
    Switching.NORMAL: later("a 4:3 source"),
    Switching.COMPOSITE: later("composite"),
    Switching.RGB: later("RGB"),
    Switching.UNDEFINED: later("nothing that the standard defines: a set may do either"),
}


def _pin(given: Given) -> Answer:
    state = switching.function_state if given["pin"] == "8" else switching.blanking_state
    found = state(given["pin_v"])
    says = _("{volts} on pin {pin} says: {meaning}.").format(
        volts=shown(given["pin_v"], "V"), pin=given["pin"], meaning=_SAYS[found.switching]
    )
    return Answer(says, (Figure("says", later("It says"), found.switching.value),), remarks=worded(found.remarks))


def _pin_16(given: Given) -> Answer:
    found = switching.blanking_drive(**given)
    allowed = switching.blanking_series_range(given["source_v"])
    figures = (
        Figure("pin_v", later("On the pin"), found.pin_v, "V"),
        Figure("says", later("It says"), found.switching.value),
        Figure("current_a", later("Current"), found.current_a, "A"),
        Figure("low_ohm", later("RGB from"), allowed.low_ohm, "Ω"),
        Figure("high_ohm", later("to"), allowed.high_ohm, "Ω"),
    )
    says = _("{volts} on pin 16 says: {meaning}. {low} to {high} say RGB.").format(
        volts=shown(found.pin_v, "V", 3), meaning=_SAYS[found.switching], low=shown(allowed.low_ohm, "Ω"),
        high=shown(allowed.high_ohm, "Ω"),
    )  # fmt: skip
    return Answer(says, figures, "V = Vsource × 75 / (75 + R)", worded(found.remarks))


def _pin_8(given: Given) -> Answer:
    found = switching.function_drive(**given)
    figures = (
        Figure("says", later("It says"), found.switching.value),
        Figure("low_v", later("With a load of 10 kΩ"), found.low_v, "V"),
        Figure("high_v", later("With none"), found.high_v, "V"),
    )
    says = _("Pin 8 gets {low} to {high} and says: {meaning}.").format(
        low=shown(found.low_v, "V", 3), high=shown(found.high_v, "V", 3), meaning=_SAYS[found.switching]
    )
    return Answer(says, figures, "V = Vsource × RL / (RL + R)", worded(found.remarks))


def _timing(given: Given) -> Answer:
    found = standard_timing(LineSystem(given["system"]))
    figures = (
        Figure("line_hz", later("Lines"), found.line_hz, "Hz"),
        Figure("line_s", later("A line lasts"), found.line_s, "s"),
        Figure("field_hz", later("Fields"), found.field_hz, "Hz"),
        Figure("subcarrier_hz", later("Colour carrier"), found.subcarrier_hz, "Hz"),
        Figure("samples_per_line", later("Samples a line at 13.5 MHz"), float(found.samples_per_line)),
    )
    says = _("A line lasts {line}, and there are {fields} fields a second.").format(
        line=shown(found.line_s, "s", 5), fields=number(found.field_hz, 5)
    )
    return Answer(says, figures, remarks=worded(found.remarks))


def _progressive(given: Given) -> Answer:
    found = progressive_timing(LineSystem(given["system"]), round(given["lines"]), given["line_hz"])
    figures = (
        Figure("field_hz", later("Fields"), found.field_hz, "Hz"),
        Figure("line_hz", later("Lines"), found.line_hz, "Hz"),
        Figure("field_offset_percent", later("Off the standard"), found.field_offset_percent, "%"),
    )
    says = _("{fields} fields a second, {off} % off the standard.").format(
        fields=number(found.field_hz, 6), off=number(found.field_offset_percent, 2)
    )
    return Answer(says, figures, "fV = fH / N", worded(found.remarks))


def _bars(given: Given) -> Answer:
    bars = colour_bars(given["amplitude"])
    figures = tuple(
        Figure(bar.name, bar.name, f"Y {bar.words.luma}, Cb {bar.words.cb}, Cr {bar.words.cr}; {bar.luma * 700:.0f} mV")
        for bar in bars
    )
    says = _("The bars of {percent} %, in 8 bits and in millivolts of luma.").format(
        percent=number(given["amplitude"] * 100)
    )
    return Answer(says, figures, "Y' = 0.299 R' + 0.587 G' + 0.114 B'")


def _difference(given: Given) -> Answer:
    found = srgb_difference(given["before"], given["after"])
    says = _("The colours differ by ΔE {delta}.").format(delta=number(found.delta_e, 3))
    return Answer(says, (Figure("delta_e", later("ΔE, CIEDE2000"), found.delta_e),), remarks=worded(found.remarks))


_SCART = "IEC 60933-1 and EN 50049-1, read at petricli.com and two more pages"
CHAPTER = Chapter("video-signals", later("Video switching, timing and colour"), (
    Reckoning("scart-pin", later("What a SCART switching voltage says"), (
        Asked("pin", later("Pin"), kind=Kind.CHOICE, default="16", choices=(("8", "8"), ("16", "16"))),
        Asked("pin_v", later("Voltage on it"), "V", default="2.1")), _SCART, _pin),
    Reckoning("scart-pin-16", later("Resistor for SCART pin 16"), (
        Asked("source_v", later("Supply"), "V", default="5"),
        Asked("series_ohm", later("Resistor"), "Ω", default="100")), _SCART, _pin_16),
    Reckoning("scart-pin-8", later("Resistor for SCART pin 8"), (
        Asked("source_v", later("Supply"), "V", default="12"),
        Asked("series_ohm", later("Resistor"), "Ω", default="1000")), _SCART, _pin_8),
    Reckoning("line-timing", later("Line and field timing"), (SYSTEM,),
              "ITU-R BT.1700, BT.470, BT.601; from memory and recomputed", _timing),
    Reckoning("progressive-timing", later("Field rate of a progressive picture"), (
        SYSTEM, Asked("lines", later("Lines a field"), default="262"),
        Asked("line_hz", later("Measured line frequency"), "Hz", optional=True)),
        "fH / lines (common practice)", _progressive),
    Reckoning("colour-bars", later("Colour bars"), (
        Asked("amplitude_percent", later("Amplitude"), "%", 0.01, "75", arg="amplitude"),), "ITU-R BT.601", _bars),
    Reckoning("colour-difference", later("How different two colours look"), (
        Asked("before", later("Before"), kind=Kind.TEXT, default="#c0392b"),
        Asked("after", later("After"), kind=Kind.TEXT, default="#c44536")), "Sharma, Wu and Dalal 2005", _difference),
))  # fmt: skip
