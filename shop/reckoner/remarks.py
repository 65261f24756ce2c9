"""What qualifies an answer, and the cautions, worded. The codes are those of `shop.engineering`."""

from collections.abc import Iterable

from django.utils.translation import gettext_lazy as _

from shop.engineering.inputs import Remark
from shop.reckoner.forms import Words
from shop.reckoner.readings import reading_words
from shop.reckoner.showing import number

REMARKS: dict[str, Words] = {
    "rule_is_off": _("The 10-kelvin rule is off below {low_c} and above {high_c} °C: take this as an order of size."),
    "rule_is_rough": _("The 10-kelvin rule is good from {low_c} to {high_c} °C; here it is rough."),
    "life_ceiling": _("Makers promise no more than {years} years ({hours_h} h), however cool the part runs."),
    "series_needs_balance": _(
        "Electrolytics in series share the voltage by their leakage, not by their capacitance: put resistors across "
        "them (common practice)."
    ),
    "air_inside_the_case": _("Count with the air inside the closed case, which is warmer than the room."),
    "shuts_down_or_fails": _("The junction passes {limit_c} °C: the regulator shuts down, or fails in time."),
    "little_margin": _("Only {margin_k} K are left to the limit: a hot day or a dusty case takes them."),
    "no_heatsink_can": _("No heatsink is good enough: there must be less heat, or a switching replacement."),
    "hum_at_weak_mains": _("At weak mains the valley of the ripple is {missing_v} V too low: the output hums."),
    "too_much_at_strong_mains": _("At strong mains the input is {over_v} V above the rating."),
    "switching_ripple": _("It adds ripple at its switching frequency; look at the picture and listen."),
    "switching_minimum_load": _("It may need a least load to regulate: look at its sheet."),
    "switching_footprint": _("It may be taller or wider than the part it replaces: measure before."),
    "switching_radio_noise": _("It makes radio noise: keep its leads short and away from video and radio parts."),
    "switching_output_capacitor": _("Its sheet may ask for certain capacitors at its pins: fit those."),
}
REMARKS |= {
    "tie": _("{other} lies just as near."),
    "tolerance_disputed": _("Makers disagree on the tolerance letter: {readings}."),
    "unit_or_tolerance": _("The {letter} may be the unit or a tolerance."),
    "zero_ohm_link": _("A link: it stands for a wire."),
    "multiplier_from_memory": _("That a last {digit} divides is from memory."),
    "unusual_value": _("Hardly a part: values from {low} to {high} {unit} are usual."),
    "reads_both_ways": _("These bands make sense from either end: begin where they stand closer together."),
    "from_memory": _("Partly from memory: look at the maker's sheet."),
    "nearest_size": _("The nearest size that the sheet has; {diameter_mm} × {length_mm} mm were asked for."),
    "below_sync_tip": _("That is below the sync tip of {low_ire} IRE."),
    "above_peak": _("That is above the peak of {high_ire} IRE."),
    "level_low": _("Too low, by {deviation_db} dB from nominal; at least {low_v} V are right."),
    "level_high": _("Too high, by {deviation_db} dB from nominal; at most {high_v} V are right."),
    "source_not_75_ohm": _("The source is {source_ohm} Ω and not 75: edges echo in a long cable."),
    "above_input_level": _("{level_v} V is more than an input is made for ({high_v} V)."),
    "several_causes": _("The level alone cannot tell these apart: look at the resistors and the cable."),
    "no_known_cause": _("Measure the source without a load, and the resistors."),
    "off_standard_field_rate": _("{field_hz} fields a second instead of {standard_hz}: some displays refuse that."),
    "linear_approximation_poor": _("The straight line is off here: use the exact figure."),
    "between_ranges": _("It lies between two ranges, {low_v} and {high_v} V: sets differ."),
    "outside_standard": _("It lies outside of what the standard allows, {low_v} to {high_v} V."),
    "depends_on_load": _("It depends on the set's load: {low_v} to {high_v} V."),
    "large_difference": _("The formula was fitted to differences below {fitted_to}: here it only says: far."),
    "hardly_noticeable": _("Below {threshold} it is hardly seen, side by side."),
}
REMARKS |= {
    "drop_above_3_percent": _("{percent} % of the supply are lost; up to 3 % is common practice: take a thicker wire."),
    "beyond_shelf_life": _("{years} years are more than a cell keeps on the shelf: count with ten."),
    "above_standard_drain": _("{drain_ma} mA is above the cell's standard drain: it gives less than its capacity."),
    "rechargeable_for_primary": _(
        "A rechargeable ({offered}) must not stand in for a primary ({fitted}): nothing there limits its charge, and "
        "its voltage is another."
    ),
    "primary_would_be_charged": _("The board charges its cell, and a {offered} must never be charged: it can burst."),
    "other_size": _("It has another size, Ø {diameter_mm} × {height_mm} mm."),
    "other_voltage": _("Its voltage is another: {volts_v} V."),
    "does_not_melt": _("The solder melts at {liquidus_c} °C only."),
    "tip_rather_cold": _("Rather cold: joints come slowly and dull (common practice)."),
    "tip_rather_hot": _("Rather hot: flux burns and pads lift (common practice)."),
    "digits_dominate": _("The digits make up most of this: a smaller range knows better."),
    "capacitance_too_small": _("Its capacitance is {percent} % off, too small for this place."),
    "capacitance_smaller": _("Its capacitance is {percent} % off: a little more ripple."),
    "capacitance_larger": _("Its capacitance is {percent} % larger."),
    "capacitance_much_larger": _("Its capacitance is {percent} % larger: more inrush at switching on."),
    "capacitance_too_large": _("Its capacitance is {percent} % larger: the regulator may become unstable."),
    "capacitance_off": _("Its capacitance is {percent} % off: the circuit would do something else."),
    "tolerance_not_known": _("Its tolerance is not known, and it sets a time."),
    "tolerance_may_miss": _("With ± {percent} % it may miss what the circuit allows: measure it first."),
    "rating_too_low": _("It is rated {rated_v} V where {original_v} V stood."),
    "rating_below_original": _(
        "It is rated {rated_v} V where {original_v} V stood, but half above the working voltage."
    ),
    "rating_far_above": _("{rated_v} V is far above {original_v} V: a larger can and more ESR for nothing."),
    "temperature_not_known": _("Its temperature class is not known."),
    "temperature_class_lower": _("Its class of {class_c} °C is below the original's {original_c} °C."),
    "polarised_in_bipolar_place": _("The voltage turns over there: a bipolar part is needed."),
    "bipolar_in_polarised_place": _("It is bipolar, which does no harm there."),
    "too_wide": _("It is {has_mm} mm wide where {limit_mm} mm are."),
    "too_tall": _("It is {has_mm} mm tall where {limit_mm} mm are."),
    "diameter_not_known": _("Its diameter is not known."),
    "height_not_known": _("Its height is not known."),
    "mounting_not_known": _("How it is mounted is not known."),
    "radial_on_pads": _("A radial part on pads: bend and trim its legs, and glue it down."),
    "other_mounting": _("It is made for another way of mounting."),
    "stand_it_on_end": _("An axial part can stand on end, with its long leg sleeved."),
    "bend_it_flat": _("A radial part in an axial place: lay it flat, legs bent and sleeved."),
    "pitch_not_known": _("How far its leads are apart is not known."),
    "other_pitch": _("Its leads are {has_mm} mm apart where {wanted_mm} mm are wanted."),
    "bend_the_legs": _("Its leads are {has_mm} mm apart, the holes {wanted_mm} mm: bend them before you solder."),
    "esr_not_known": _("Its ESR is not known, and the place asks for it."),
    "esr_too_high": _("Its ESR of {has_ohm} Ω is above {limit_ohm} Ω."),
    "esr_too_low": _("Its ESR of {has_ohm} Ω is below {limit_ohm} Ω: the regulator may oscillate."),
    "ripple_not_known": _("Its ripple rating is not known, and the place asks for it."),
    "ripple_rating_low": _("Its ripple rating of {has_a} A is below the {needs_a} A that flow."),
    "ceramic_is_not_steady": _("A class 2 ceramic changes with voltage, heat and age: not here."),
    "ceramic_loses_with_voltage": _("A class 2 ceramic loses capacitance with voltage: look at its curve."),
    "ceramic_hears_knocks": _("A class 2 ceramic picks up knocks: in a sound path one hears them."),
    "electrolytic_is_not_precise": _("An electrolytic is not precise enough where film or class 1 stood."),
    "polymer_leaks_more": _("A polymer has less ESR and leaks more."),
    "regulator_may_need_esr": _("Some regulators need ESR at their output: look at the regulator's sheet."),
    "working_voltage_not_known": _("For a tantalum the voltage that really stands there must be known: measure it."),
    "tantalum_needs_half": _(
        "A tantalum should see half of its rating at most: {rated_v} V for {working_v} V is too little."
    ),
    "tantalum_and_inrush": _("A tantalum right at a supply may fail short at switching on."),
    "not_certified_for_mains": _("On the mains only a part that is certified for it (class X or Y) may stand."),
}
CAUSES: dict[str, Words] = {
    "one_load": _("one load, as it should be"),
    "no_load": _("a missing load of 75 Ω"),
    "no_series_resistor": _("a missing series resistor"),
    "two_loads": _("two loads at once"),
    "two_series_resistors": _("two series resistors, one after the other"),
}
CAUTIONS: dict[str, Words] = {
    "mains_side": _(
        "Mains side: unplug, wait, discharge and verify before a hand goes in. Work there belongs to whom local rules "
        "allow it."
    ),
    "tab_may_be_live": _("The tab may not be ground: look it up before it touches a heatsink or the chassis."),
    "hot_heatsink": _("A heatsink at work can burn a finger, also some minutes after it was switched off."),
    "lithium_cell": _(
        "Lithium cell: never solder to the cell itself, never short, heat or charge it. Keep it from children: "
        "swallowed it burns within hours."
    ),
    "hot_iron": _("A hot iron burns, and melts cables: put it into its stand."),
    "fumes": _("Solder and flux smoke: work where it is drawn off."),
    "charged_capacitor": _(
        "A large capacitor keeps its charge: discharge it through a resistor, and verify with a meter."
    ),
}


def worded(remarks: Iterable[Remark]) -> tuple[str, ...]:
    """Return the remarks that qualify a number, as sentences, each once."""
    return tuple(dict.fromkeys(_one(REMARKS[remark.code], remark) for remark in remarks if remark.code in REMARKS))


def cautioned(remarks: Iterable[Remark], *codes: str) -> tuple[str, ...]:
    """Return the cautions among the remarks, and those named besides, each once."""
    found = [remark.code for remark in remarks if remark.code in CAUTIONS]
    return tuple(str(CAUTIONS[code]) for code in dict.fromkeys([*found, *codes]))


def _one(words: Words, remark: Remark) -> str:
    return str(words).format(**{name: _fact(value) for name, value in remark.facts.items()})


def _fact(value: object) -> str:
    """Write one fact of a remark: a number, some readings, or a word."""
    if isinstance(value, float | int) and not isinstance(value, bool):
        return number(value)
    return reading_words(value) if isinstance(value, tuple) else str(value)
