"""Linear regulators: heat and heatsink, input window, ripple, output limits, a switching replacement."""

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as later

from shop.engineering import regulator_heat as heat
from shop.engineering import regulator_window as window
from shop.reckoner.forms import Answer, Asked, Chapter, Curve, Figure, Given, Kind, Reckoning
from shop.reckoner.remarks import cautioned, worded
from shop.reckoner.showing import number, shown


def _heat(given: Given) -> Answer:
    watts = heat.dissipation_w(given["input_v"], given["output_v"], given["load_a"], given["ground_a"])
    sink_ohm = given["sink_k_w"]
    path = given["free_air_k_w"] if sink_ohm is None else given["junction_case_k_w"] + given["case_sink_k_w"] + sink_ohm
    found = heat.junction(watts, path, given["ambient_c"], given["limit_c"])
    loads = [min(10.0, (given["load_a"] or 0.1) * 2) * place / 20 for place in range(21)]
    curve = Curve(
        later("load in A"),
        later("junction in °C"),
        tuple((each, given["ambient_c"] + path * _watts(given, each)) for each in loads),
        (given["load_a"], found.junction_c),
    )
    keeps = found.keeps is heat.Keeps.WITHIN
    words = _("{w} W heat the junction to {t} °C, {k} K below its limit.") if keeps else _(
        "{w} W heat the junction to {t} °C, {k} K above its limit."
    )  # fmt: skip
    says = words.format(w=number(watts, 3), t=number(found.junction_c, 3), k=number(abs(found.margin_k), 3))
    working = (
        f"P = ({number(given['input_v'])} − {number(given['output_v'])}) V × {shown(given['load_a'], 'A')} "
        f"+ {number(given['input_v'])} V × {shown(given['ground_a'], 'A')} = {shown(watts, 'W')};  "
        f"TJ = {number(given['ambient_c'])} °C + {number(path)} °C/W × P = {number(found.junction_c)} °C"
    )
    figures = (
        Figure("dissipation_w", later("Heat"), watts, "W"),
        Figure("junction_c", later("Junction"), found.junction_c, "°C"),
        Figure("margin_k", later("Left to the limit"), found.margin_k, "K"),
        Figure("bare_w", later("Bare package sheds at most"),
               heat.most_without_heatsink_w(given["free_air_k_w"], given["ambient_c"], given["limit_c"]), "W"),
    )  # fmt: skip
    return Answer(
        says, figures, working, worded(found.remarks), cautioned((), "hot_heatsink", "tab_may_be_live"), curve
    )


def _watts(given: Given, load_a: float) -> float:
    return heat.dissipation_w(given["input_v"], given["output_v"], load_a, given["ground_a"])


def _heatsink(given: Given) -> Answer:
    found = heat.heatsink(**given)
    figures = [Figure("allowed_k_w", later("Allowed from junction to air"), found.allowed_k_w, "°C/W")]
    if found.sink_k_w is not None:
        figures.append(Figure("sink_k_w", later("Heatsink, at most"), found.sink_k_w, "°C/W"))
    says = {
        heat.Need.NONE: _("No heatsink is needed."),
        heat.Need.HEATSINK: _("A heatsink of {sink} °C/W or less is needed.").format(
            sink=number(found.sink_k_w or 0, 3)
        ),
        heat.Need.BEYOND: _("No heatsink is good enough."),
    }[found.need]
    working = (
        f"θSA = ({number(given['limit_c'])} − {number(given['ambient_c'])}) K / {number(given['power_w'])} W "
        f"− {number(given['junction_case_k_w'])} − {number(given['case_sink_k_w'])}"
    )
    return Answer(says, tuple(figures), working, worded(found.remarks), cautioned(found.remarks))


def _most_load(given: Given) -> Answer:
    amperes = heat.most_load_a(**given)
    says = _("At {load} it turns {watts} into heat.").format(
        load=shown(amperes, "A", 3), watts=shown(given["heat_w"], "W")
    )
    remark = _("The regulator's own current limit stands besides.")
    figures = (Figure("load_a", later("Load, at most"), amperes, "A"),)
    return Answer(says, figures, "I = (P − Vin × Ig) / (Vin − Vout)", (remark,), cautioned((), "hot_heatsink"))


def _window(given: Given) -> Answer:
    found = window.input_window(**given)
    says = (
        _("It regulates from weak mains to strong.")
        if found.holds
        else _("It does not hold from weak mains to strong.")
    )
    figures = (
        Figure("lowest_v", later("Valley at weak mains"), found.lowest_v, "V"),
        Figure("highest_v", later("Peak at strong mains"), found.highest_v, "V"),
        Figure("above_dropout_v", later("Left above dropout"), found.above_dropout_v, "V"),
        Figure("below_rating_v", later("Left below the rating"), found.below_rating_v, "V"),
    )
    working = (
        f"{number(given['input_v'])} V × {number(1 - given['mains_low_percent'] / 100)} "
        f"− {number(given['ripple_vpp'])} V "
        f"= {number(found.lowest_v)} V, needed {number(given['output_v'] + given['dropout_v'])} V"
    )
    return Answer(says, figures, working, worded(found.remarks), cautioned(found.remarks))


def _ripple(given: Given) -> Answer:
    full = given["full_wave"]
    volts = window.reservoir_ripple_vpp(given["load_a"], given["capacitance_f"], given["mains_hz"], full_wave=full)
    says = _("About {ripple} of ripple, peak to peak.").format(ripple=shown(volts, "V", 3))
    working = f"I / (f C) = {shown(given['load_a'], 'A')} / ({number(given['mains_hz'] * (2 if full else 1))} Hz × C)"
    remark = _("An upper estimate: the capacitor does not feed the load for the whole period (common practice).")
    return Answer(
        says,
        (Figure("ripple_vpp", later("Ripple, peak to peak"), volts, "V"),),
        working,
        (remark,),
        cautioned((), "mains_side", "charged_capacitor"),
    )


def _limits(given: Given) -> Answer:
    found = window.output_limits(float(given["nominal_v"]), loaded=given["loaded"])
    says = _("It may give {low} to {high} V.").format(low=number(found.low_v), high=number(found.high_v))
    figures = (
        Figure("low_v", later("Least"), found.low_v, "V"),
        Figure("high_v", later("Most"), found.high_v, "V"),
    )
    return Answer(says, figures, remarks=(_("These limits are from memory: look at the part's sheet."),) if
                  found.from_memory else ())  # fmt: skip


def _switching(given: Given) -> Answer:
    found = window.switching_instead(**given)
    words = (
        _("A switching replacement is the better answer: {sw} of heat instead of {lin}.")
        if found.better
        else _("The linear one will do, or neither: {lin} of heat, {sw} with a switching replacement.")
    )
    figures = (
        Figure("linear_heat_w", later("Heat, linear"), found.linear_heat_w, "W"),
        Figure("switching_heat_w", later("Heat, switching"), found.switching_heat_w, "W"),
        Figure("linear_input_a", later("Draws, linear"), found.linear_input_a, "A"),
        Figure("switching_input_a", later("Draws, switching"), found.switching_input_a, "A"),
    )
    working = "P = (Vin − Vout) × I, against P = Vout × I × (1/η − 1)"
    says = words.format(sw=shown(found.switching_heat_w, "W", 3), lin=shown(found.linear_heat_w, "W", 3))
    return Answer(says, figures, working, worded(found.remarks))


_IN = Asked("input_v", later("Input"), "V", default="9")
_OUT = Asked("output_v", later("Output"), "V", default="5")
_LOAD = Asked("load_ma", later("Load"), "mA", 1e-3, "500", arg="load_a")
_AMBIENT = Asked("ambient_c", later("Air inside the case"), "°C", default="40")
_LIMIT = Asked("limit_c", later("Junction limit"), "°C", default="125")
_CASE = Asked("junction_case_k_w", later("Junction to tab"), "°C/W", default="5",
              hint=later("of the part's own sheet; never the figure to the top"))  # fmt: skip
_PASTE = Asked("case_sink_k_w", later("Tab to heatsink"), "°C/W", default="1")
_FREE = Asked("free_air_k_w", later("Junction to free air"), "°C/W", default="65",
              hint=later("makers give 50 to 65 for a TO-220"))  # fmt: skip
_HEAT_SOURCE = "National LM341 and Fairchild LM78XX sheets"
CHAPTER = Chapter("regulators", later("Linear regulators"), (
    Reckoning("regulator-heat", later("Will the regulator cook?"), (
        _IN, _OUT, _LOAD, Asked("ground_ma", later("Its own current"), "mA", 1e-3, "5", arg="ground_a"), _AMBIENT,
        _LIMIT, _FREE, _CASE, _PASTE,
        Asked("sink_k_w", later("Heatsink to air"), "°C/W", optional=True, hint=later("empty without a heatsink")),
    ), _HEAT_SOURCE, _heat),
    Reckoning("regulator-load", later("How much may the regulator carry?"), (
        Asked("heat_w", later("Heat that it may make"), "W", default="1.5"), _IN, _OUT,
        Asked("ground_ma", later("Its own current"), "mA", 1e-3, "5", arg="ground_a")), _HEAT_SOURCE, _most_load),
    Reckoning("heatsink", later("Which heatsink?"), (
        Asked("power_w", later("Heat"), "W", default="4"), _AMBIENT, _LIMIT, _CASE, _PASTE, _FREE,
    ), _HEAT_SOURCE, _heatsink),
    Reckoning("regulator-window", later("Input from weak mains to strong"), (
        _IN, _OUT, Asked("dropout_v", later("Dropout"), "V", default="2"),
        Asked("rating_v", later("Input rating"), "V", default="35"),
        Asked("ripple_vpp", later("Ripple, peak to peak"), "V", default="1"),
        Asked("mains_low_percent", later("Mains low by"), "%", default="10"),
        Asked("mains_high_percent", later("Mains high by"), "%", default="10"),
    ), "Fairchild LM78XX Rev 1.3.1 for the dropout", _window),
    Reckoning("reservoir-ripple", later("Ripple on a reservoir capacitor"), (
        _LOAD, Asked("capacitance_uf", later("Capacitance"), "µF", 1e-6, "4700", arg="capacitance_f"),
        Asked("mains_hz", later("Mains"), "Hz", default="60"),
        Asked("full_wave", later("Full-wave rectifier"), kind=Kind.YES, default="yes"),
    ), "textbook approximation (common practice)", _ripple),
    Reckoning("output-limits", later("What a fixed regulator may give"), (
        Asked("nominal_v", later("Output"), kind=Kind.CHOICE, default="5",
              choices=tuple((volts, f"{volts} V") for volts in ("5", "6", "8", "9", "12", "15", "18", "24"))),
        Asked("loaded", later("Over load and input"), kind=Kind.YES, default="yes"),
    ), "Fairchild LM78XX Rev 1.3.1 for 5 V; the others from memory", _limits),
    Reckoning("switching-replacement", later("A switching replacement?"), (
        _IN, _OUT, _LOAD, Asked("efficiency_percent", later("Efficiency"), "%", 0.01, "85", arg="efficiency"),
        Asked("bearable_w", later("Heat that can be borne"), "W", default="1.5"),
    ), "energy balance; what it changes is common practice", _switching),
))  # fmt: skip
