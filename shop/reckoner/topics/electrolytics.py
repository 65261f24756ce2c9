"""Electrolytic capacitors: how long they last, what they lose and leak, several put together."""

import re

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as later

from shop.engineering import capacitors
from shop.engineering.electrolytic_life import (
    Life,
    by_core_temperature,
    mixed_duty,
    ten_kelvin_rule,
    with_ripple,
    with_ripple_and_voltage,
)
from shop.engineering.inputs import BadInput
from shop.reckoner.forms import Answer, Asked, Chapter, Curve, Figure, Given, Kind, Reckoning
from shop.reckoner.reading_lists import numbers
from shop.reckoner.remarks import cautioned, worded
from shop.reckoner.showing import number, shown

_YEAR_H = 8760


def _life_figures(life: Life) -> tuple[Figure, ...]:
    return (
        Figure("promised_h", later("May be promised"), life.promised_h, "h"),
        Figure("years", later("Years, day and night"), life.promised_h / _YEAR_H, later("years")),
        Figure("computed_h", later("As computed"), life.computed_h, "h"),
    )


def _life_says(life: Life) -> str:
    return _("About {hours} h, {years} years day and night. An estimate, not a promise of the maker.").format(
        hours=number(life.promised_h, 3), years=number(life.promised_h / _YEAR_H, 2)
    )


def _life(given: Given) -> Answer:
    life = with_ripple_and_voltage(**given)
    coolest = max(-55.0, min(30.0, given["actual_c"]))
    steps = [coolest + (given["rated_c"] - coolest) * place / 40 for place in range(41)]
    curve = Curve(
        later("°C"),
        later("hours"),
        tuple((each, with_ripple_and_voltage(**{**given, "actual_c": each}).promised_h) for each in steps),
        (given["actual_c"], life.promised_h),
    )
    working = "L = {h} h × 2^(({t0} − {t}) / 10) × {ki}^((1 − {r}²) × {d} / 10) × {kv} = {life} h".format(
        h=number(given["rated_h"]), t0=number(given["rated_c"]), t=number(given["actual_c"]),
        ki=number(given["acceleration"]), r=number(given["ripple_ratio"]), d=number(given["core_rise_k"]),
        kv="({})^−2.5".format(number(given["voltage_ratio"])) if given["voltage_ratio"] >= 0.6 else "3.59",
        life=number(life.computed_h),
    )  # fmt: skip
    return Answer(_life_says(life), _life_figures(life), working, worded(life.remarks), curve=curve)


def _rubycon(given: Given) -> Answer:
    life = with_ripple(**given)
    working = "L = Lb × 2^((Tmax − Ta) / 10) × 2^(ΔT0 / (10 − 0.25 ΔT0) − ΔT / (10 − 0.25 ΔT)),  ΔT = ΔT0 × r²"
    return Answer(_life_says(life), _life_figures(life), working, worded(life.remarks))


def _core(given: Given) -> Answer:
    life = by_core_temperature(**given)
    return Answer(_life_says(life), _life_figures(life), "L = L0 × 2^((T0 + ΔT0 − Tc) / 10)", worded(life.remarks))


def _simple_life(given: Given) -> Answer:
    life = ten_kelvin_rule(**given)
    working = (
        f"L = {number(given['rated_h'])} h × 2^(({number(given['rated_c'])} − {number(given['actual_c'])}) / 10) "
        f"= {number(life.computed_h)} h"
    )
    return Answer(_life_says(life), _life_figures(life), working, worded(life.remarks))


_SPELL = re.compile(r"([\d.,]+)\s*h?\s*(?:at|@|:)?\s*([−-]?[\d.,]+)(?:\s*°?C)?")


def _spells(text: str) -> list[tuple[float, float]]:
    """Read spells such as "8 h at 45; 8 at 55": hours and °C, parted by semicolons or line ends."""
    return [_spell(piece.strip()) for piece in re.split(r"[;\n]", text) if piece.strip()]


def _spell(piece: str) -> tuple[float, float]:
    found = _SPELL.fullmatch(piece)
    try:
        hours, degrees = (float(each.replace(",", ".").replace("−", "-")) for each in (found.groups() if found else ()))
    except ValueError:
        raise BadInput("unreadable", "spells", given=piece, like=("8 h at 45; 16 h at 25",)) from None
    return hours, degrees


def _mixed(given: Given) -> Answer:
    duty = mixed_duty(given["rated_h"], given["rated_c"], _spells(given["spells"]))
    steady = Figure("equivalent_c", later("Wears like a steady"), duty.equivalent_c, "°C")
    return Answer(
        _life_says(duty.life),
        (*_life_figures(duty.life), steady),
        "L = Σ h / Σ (h / L(T))",
        worded(duty.life.remarks),
    )


def _esr(given: Given) -> Answer:
    ohms = capacitors.esr_ohm(**given)
    says = _("tan δ {tan} is an ESR of {esr} at {frequency}.").format(
        tan=number(given["tan_delta"]), esr=shown(ohms, "Ω"), frequency=shown(given["frequency_hz"], "Hz")
    )
    working = "ESR = tan δ / (2π f C) = {t} / (2π × {f} × {c}) = {e}".format(
        t=number(given["tan_delta"]), f=shown(given["frequency_hz"], "Hz"), c=shown(given["capacitance_f"], "F"),
        e=shown(ohms, "Ω"),
    )  # fmt: skip
    remark = _("At 100 kHz, where switching supplies work, an electrolytic's ESR is several times lower.")
    return Answer(says, (Figure("esr_ohm", later("ESR"), ohms, "Ω"),), working, (remark,))


def _losses(given: Given) -> Answer:
    tan_delta = capacitors.tan_delta_limit(given["rated_v"], given["capacitance_f"])
    esr = capacitors.esr_ohm(tan_delta, given["capacitance_f"])
    leak = capacitors.leakage_limit_a(given["capacitance_f"], given["rated_v"])
    end = capacitors.end_of_life(given["diameter_mm"])
    says = _("New it has at most {esr} of ESR at 120 Hz and leaks at most {leak} after two minutes.").format(
        esr=shown(esr, "Ω", 3), leak=shown(leak, "A", 3)
    )
    figures = (
        Figure("tan_delta", later("tan δ at most (120 Hz, 20 °C)"), tan_delta),
        Figure("esr_ohm", later("ESR at most, new"), esr, "Ω"),
        Figure("esr_worn_ohm", later("ESR at the end of its life"), esr * end.tan_delta_percent_of_limit / 100, "Ω"),
        Figure("leakage_a", later("Leakage at most"), leak, "A"),
        Figure("change_percent", later("Capacitance may have changed ±"), end.capacitance_change_percent, "%"),
    )
    working = "ESR = tan δ / (2π × 120 Hz × C); I = max(0.01 × C[µF] × V, 3 µA)"
    return Answer(says, figures, working, cautions=cautioned((), "charged_capacitor"))


def _together(given: Given) -> Answer:
    parts = numbers(given["capacitances_f"], "capacitances_f", 1e-6)
    esrs = numbers(given["esrs_ohm"] or "", "esrs_ohm")
    combine = capacitors.in_series if given["how"] == "series" else capacitors.in_parallel
    found = combine(parts, esrs)
    figures = [Figure("capacitance_f", later("Capacitance"), found.capacitance_f, "F")]
    if found.esr_ohm is not None:
        figures.append(Figure("esr_ohm", later("ESR"), found.esr_ohm, "Ω"))
    says = _("Together they are {value}.").format(value=shown(found.capacitance_f, "F"))
    working = "1/C = Σ 1/Cᵢ" if given["how"] == "series" else "C = Σ Cᵢ"
    return Answer(says, tuple(figures), working, worded(found.remarks))


_RATED = (
    Asked("rated_h", later("Rated life"), "h", default="2000"),
    Asked("rated_c", later("Rated at"), "°C", default="105"),
)
_ACTUAL = Asked("actual_c", later("It runs at"), "°C", default="65", hint=later("the air right at the can"))
CHAPTER = Chapter("electrolytics", later("Electrolytic capacitors"), (
    Reckoning("capacitor-life", later("Life with ripple and voltage"), (
        *_RATED, _ACTUAL,
        Asked("ripple_ratio", later("Real ripple over rated ripple"), default="1", hint=later("0 to 1")),
        Asked("voltage_ratio", later("Working voltage over rated"), default="1", hint=later("0 to 1")),
        Asked("core_rise_k", later("Rise of the core at rated ripple"), "K", default="5"),
        Asked("acceleration", later("Ki, of the maker"), default="2"),
    ), "Jianghai's life model (Albertsen); 15-year ceiling: nichicon, Beckhoff; range: Rubycon 5-1", _life),
    Reckoning("ten-kelvin-rule", later("Life by the 10-kelvin rule"), (*_RATED, _ACTUAL),
              "COSEL technical notes 100; range: Rubycon technical notes 5-1", _simple_life),
    Reckoning("life-with-ripple", later("Life with ripple, another form"), (
        *_RATED, _ACTUAL, Asked("core_rise_k", later("Rise of the core at rated ripple"), "K", default="5"),
        Asked("ripple_ratio", later("Real ripple over rated ripple"), default="0.5", hint=later("0 to 1")),
    ), "Rubycon's form; range: Rubycon technical notes 5-1", _rubycon),
    Reckoning("life-by-core", later("Life by the temperature of the core"), (
        *_RATED, Asked("core_c", later("The core has"), "°C", default="75"),
        Asked("rated_rise_k", later("Rise at rated ripple"), "K", default="10"),
    ), "Kendeil, useful life", _core),
    Reckoning("mixed-duty", later("Life under changing temperatures"), (
        *_RATED, Asked("spells", later("Hours at degrees, in turn"), kind=Kind.TEXT, default="4 h at 65; 20 h at 25"),
    ), "COSEL technical notes 100", _mixed),
    Reckoning("esr", later("ESR from the loss tangent"), (
        Asked("tan_delta", later("tan δ"), default="0.24"),
        Asked("capacitance_uf", later("Capacitance"), "µF", 1e-6, "100", arg="capacitance_f"),
        Asked("frequency_hz", later("Frequency"), "Hz", default="120"),
    ), "ESR = tan δ / (2π f C)", _esr),
    Reckoning("capacitor-limits", later("What a new electrolytic may lose and leak"), (
        Asked("capacitance_uf", later("Capacitance"), "µF", 1e-6, "220", arg="capacitance_f"),
        Asked("rated_v", later("Rated voltage"), "V", default="16"),
        Asked("diameter_mm", later("Diameter"), "mm", default="8"),
    ), "nichicon ZG sheet; end of life: VEJ sheet", _losses),
    Reckoning("capacitors-together", later("Capacitors in series or parallel"), (
        Asked("capacitances_uf", later("Capacitances, with blanks between, in µF"), kind=Kind.TEXT, default="47 22",
              arg="capacitances_f"),
        Asked("esrs_ohm", later("Their ESR, in Ω, when known"), kind=Kind.TEXT, optional=True),
        Asked("how", later("They stand"), kind=Kind.CHOICE, default="parallel",
              choices=(("parallel", later("in parallel")), ("series", later("in series")))),
    ), "circuit theory", _together),
))  # fmt: skip
