"""Values and marks: series, letter and digit codes, colours, voltages."""

from collections.abc import Mapping

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as later

from shop.engineering.colour_code import bands_for, read_bands
from shop.engineering.digit_codes import Convention, digit_readings
from shop.engineering.letter_codes import Quantity, read_letter_code, write_letter_code
from shop.engineering.marks import readings_of
from shop.engineering.preferred import Series, at_least, at_most, nearest, rated_voltage_at_least, series_with
from shop.engineering.voltage_codes import (
    CAN_LETTERS_V,
    can_letter_of_voltage,
    code_of_voltage,
    voltage_of_can_letter,
    voltage_of_code,
)
from shop.reckoner.forms import Answer, Asked, Chapter, Figure, Given, Kind, Reckoning, Words
from shop.reckoner.readings import CONVENTIONS, digit_words, tolerance_words
from shop.reckoner.remarks import worded
from shop.reckoner.showing import number, shown

_UNITS = {Quantity.RESISTANCE: "Ω", Quantity.CAPACITANCE: "F", Quantity.VOLTAGE: "V"}


def _preferred(given: Given) -> Answer:
    series, value = Series(given["series"]), given["value"]
    near, low, high = nearest(value, series), at_most(value, series), at_least(value, series)
    says = _("{near} is the nearest value of {series}, {off} % off.").format(
        near=number(near.value), series=series.value, off=number(near.deviation_percent, 2)
    )
    figures = (
        Figure("nearest", later("Nearest"), near.value),
        Figure("below", later("Next below"), low.value),
        Figure("above", later("Next above"), high.value),
        Figure("deviation_percent", later("Off by"), near.deviation_percent, "%"),
        Figure(
            "series", later("Series that have the nearest"), ", ".join(each.value for each in series_with(near.value))
        ),
        Figure("tolerance_percent", later("The series is made for ±"), series.tolerance_percent, "%"),
    )
    return Answer(says, figures, remarks=worded(near.remarks))


def _letter_code(given: Given) -> Answer:
    read = read_letter_code(given["code"])
    value = shown(read.value, _UNITS[read.quantity])
    figures = [Figure("value", later("Value"), read.value, _UNITS[read.quantity])]
    if read.tolerance:
        low, high = read.tolerance.limits(read.value)
        figures.append(Figure("tolerance", later("Tolerance"), tolerance_words(read.tolerance)))
        figures += [Figure("least", later("Least"), low, _UNITS[read.quantity])]
        figures += [Figure("greatest", later("Greatest"), high, _UNITS[read.quantity])]
    habit = (_("A habit of the trade for voltages; the standard has no letter for them."),)
    return Answer(
        _("{code} is {value}.").format(code=given["code"], value=value),
        tuple(figures),
        remarks=habit if read.quantity is Quantity.VOLTAGE else worded(read.remarks),
    )


_ON = {
    "unknown": tuple(Convention),
    "resistor": (Convention.OHMS, Convention.EIA_96),
    "capacitor": (Convention.PICOFARADS,),
    "electrolytic": (Convention.PART_NUMBER_PF, Convention.PART_NUMBER_UF),
}


def _digit_code(given: Given) -> Answer:
    readings = digit_readings(given["code"], _ON[given["on"]])
    if len(readings) == 1:
        says = _("{code} is {reading}.").format(code=given["code"], reading=digit_words(readings[0]))
    else:
        says = _("{code} can be read in {count} ways; what it is printed on decides.").format(
            code=given["code"], count=len(readings)
        )
    units = dict.fromkeys((Convention.OHMS, Convention.EIA_96), "Ω")
    figures = [
        Figure(each.convention.value, CONVENTIONS[each.convention], each.value, units.get(each.convention, "F"))
        for each in readings
    ]
    return Answer(says, tuple(figures), remarks=worded(remark for each in readings for remark in each.remarks))


def _bands(given: Given) -> Answer:
    colours = given["colours"].replace(",", " ").split()
    read = read_bands(colours)
    low, high = read.limits_ohm
    figures = [
        Figure("resistance", later("Resistance"), read.resistance_ohm, "Ω"),
        Figure("tolerance_percent", later("Tolerance ±"), read.tolerance_percent, "%"),
        Figure("least", later("Least"), low, "Ω"),
        Figure("greatest", later("Greatest"), high, "Ω"),
    ]
    if read.drift_ppm_k is not None:
        figures.append(Figure("drift", later("Drift (from memory)"), float(read.drift_ppm_k), "ppm/K"))
    says = _("{value}, ± {percent} %.").format(
        value=shown(read.resistance_ohm, "Ω"), percent=number(read.tolerance_percent)
    )
    return Answer(says, tuple(figures), remarks=worded(read.remarks))


def _to_bands(given: Given) -> Answer:
    bands = bands_for(given["resistance_ohm"], given["tolerance_percent"])
    says = _("{value} with ± {percent} % is {bands}.").format(
        value=shown(given["resistance_ohm"], "Ω", 3), percent=number(given["tolerance_percent"]), bands=", ".join(bands)
    )
    return Answer(says, (Figure("bands", later("Bands"), " ".join(bands)),))


def _voltage_code(given: Given) -> Answer:
    on_can = given["on"] == "can"
    volts = voltage_of_can_letter(given["code"]) if on_can else voltage_of_code(given["code"])
    case = (_("On a can a small j is 6.3 V and a capital J 63 V."),) if on_can else ()
    says = _("{code} is a rating of {volts} V.").format(code=given["code"], volts=number(volts))
    return Answer(says, (Figure("rated_v", later("Rated voltage"), volts, "V"),), remarks=case)


_CONVENTION: Mapping[str, Words] = {
    "letter_code": later("a letter for the point"),
    "voltage_code": later("a voltage code in a part number"),
    "can_letter": later("a voltage letter on a can"),
    "voltage_value": later("voltage and value of a film capacitor"),
    "plain_pf": later("a plain number of picofarads"),
    "plain_uf": later("a plain number of microfarads"),
} | {each.value: words for each, words in CONVENTIONS.items()}


def _mark(given: Given) -> Answer:
    found = readings_of(given["mark"])
    figures = tuple(
        Figure(each.convention, _CONVENTION.get(each.convention, each.convention), each.value, _UNITS[each.quantity])
        for each in found
    )
    says = _("{mark} can be read in {count} ways.") if len(found) > 1 else _("{mark} is {value}.")
    value = shown(found[0].value, _UNITS[found[0].quantity])
    remarks = worded(remark for each in found for remark in each.remarks)
    return Answer(says.format(mark=given["mark"], count=len(found), value=value), figures, remarks=remarks)


def _write(given: Given) -> Answer:
    ohms = given["of"] == "resistance"
    value = given["value"] * (1.0 if ohms else 1e-6)
    code = write_letter_code(value, Quantity(given["of"]), round(given["digits"]))
    says = _("{value} is written {code}.").format(value=shown(value, "Ω" if ohms else "F"), code=code)
    return Answer(says, (Figure("code", later("Code"), code),))


def _code_for(given: Given) -> Answer:
    volts = given["voltage_v"]
    code = code_of_voltage(volts)
    figures = [Figure("code", later("In a part number"), code)]
    if volts in CAN_LETTERS_V.values():
        figures.append(Figure("letter", later("Alone on an SMD can"), can_letter_of_voltage(volts)))
    return Answer(_("{volts} V is {code} in a part number.").format(volts=number(volts), code=code), tuple(figures))


def _rating(given: Given) -> Answer:
    rated = rated_voltage_at_least(given["voltage_v"])
    says = _("{needed} V are met by a rating of {rated} V.").format(
        needed=number(given["voltage_v"]), rated=number(rated)
    )
    return Answer(says, (Figure("rated_v", later("Rated voltage"), rated, "V"),))


CHAPTER = Chapter("marks", later("Values and marks"), (
    Reckoning(
        "preferred-value", later("Nearest value of a series"),
        (Asked("value", later("Value, in any unit"), default="4600"),
         Asked("series", later("Series"), kind=Kind.CHOICE, default="E24",
               choices=tuple((each.value, f"{each.value}, ± {each.tolerance_percent:g} %") for each in Series))),
        "IEC 60063:2015", _preferred),
    Reckoning("mark", later("What may this mark say?"),
              (Asked("mark", later("Mark"), kind=Kind.TEXT, default="104K", hint=later("as it is printed")),),
              "IEC 60062 and makers' conventions", _mark),
    Reckoning("letter-code-for", later("A value written with a letter"),
              (Asked("value", later("Value, in Ω or µF"), default="4700"),
               Asked("of", later("It is"), kind=Kind.CHOICE, default="resistance", choices=(
                   ("resistance", later("a resistance, in Ω")), ("capacitance", later("a capacitance, in µF")))),
               Asked("digits", later("Digits"), default="2")), "IEC 60062:2016", _write),
    Reckoning("voltage-code-for", later("Code of a rated voltage"),
              (Asked("voltage_v", later("Rated voltage"), "V", default="16"),),
              "Samwha's part-number system", _code_for),
    Reckoning("letter-code", later("A value with a letter for the point"),
              (Asked("code", later("Code"), kind=Kind.TEXT, default="4K7", hint=later("4K7, R47, 4n7, 1µ0J, 6V3")),),
              "IEC 60062:2016; the disputed tolerance letters are from memory", _letter_code),
    Reckoning(
        "digit-code", later("A value in three or four digits"),
        (Asked("code", later("Code"), kind=Kind.TEXT, default="104", hint=later("104, 4R7, 1002, 68X")),
         Asked("on", later("It is printed on"), kind=Kind.CHOICE, default="unknown", choices=(
             ("unknown", later("I do not know")), ("resistor", later("a resistor")),
             ("capacitor", later("a ceramic or film capacitor")),
             ("electrolytic", later("an electrolytic's part number"))))),
        "IEC 60062; makers' part-number pages (Samwha, Panasonic); EIA-96 letters from memory", _digit_code),
    Reckoning("colour-bands", later("Colour bands to a value"),
              (Asked("colours", later("Colours, from the closer end"), kind=Kind.TEXT,
                     default="yellow violet red gold"),), "IEC 60062", _bands),
    Reckoning("bands-for", later("A value to colour bands"),
              (Asked("resistance_ohm", later("Resistance"), "Ω", default="4700"),
               Asked("tolerance_percent", later("Tolerance ±"), "%", default="5")), "IEC 60062", _to_bands),
    Reckoning("voltage-code", later("Voltage code of an electrolytic"),
              (Asked("code", later("Code"), kind=Kind.TEXT, default="1C", hint=later("1C, or C on a can")),
               Asked("on", later("It stands"), kind=Kind.CHOICE, default="number", choices=(
                   ("number", later("in the part number")), ("can", later("alone on an SMD can"))))),
              "Samwha's part-number system; nichicon CD series", _voltage_code),
    Reckoning("rated-voltage", later("Next rated voltage"),
              (Asked("voltage_v", later("At least"), "V", default="6"),), "IEC 60384-4, from memory", _rating),
))  # fmt: skip
