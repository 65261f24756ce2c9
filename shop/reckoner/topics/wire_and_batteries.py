"""Wire and save batteries."""

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as later

from shop.engineering import batteries, wire
from shop.engineering.batteries import YEAR_H, Swap
from shop.engineering.inputs import BadInput
from shop.reckoner.forms import Answer, Asked, Chapter, Figure, Given, Kind, Reckoning
from shop.reckoner.remarks import cautioned, worded
from shop.reckoner.showing import number, shown


def _gauge(given: Given) -> int:
    """Read a gauge; 00, 000 and 0000 are −1, −2 and −3."""
    text = given["gauge"].strip().upper().removeprefix("AWG").strip()
    if text and set(text) == {"0"}:
        return 1 - len(text)
    if not (text.isascii() and text.isdigit()):
        raise BadInput("unreadable", "gauge", given=given["gauge"], like=("24", "30", "00"))
    return int(text)


def _wire(given: Given) -> Answer:
    gauge, degrees = _gauge(given), given["temperature_c"]
    ohms = wire.resistance_ohm_m(gauge, degrees)
    figures = (
        Figure("diameter_mm", later("Diameter"), wire.diameter_mm(gauge), "mm"),
        Figure("area_mm2", later("Cross-section"), wire.area_mm2(gauge), "mm²"),
        Figure("resistance_ohm_m", later("A metre has"), ohms, "Ω"),
    )
    says = _("{mm} mm thick; a metre has {ohms} at {degrees} °C.").format(
        mm=number(wire.diameter_mm(gauge)), ohms=shown(ohms, "Ω"), degrees=number(degrees)
    )
    return Answer(says, figures, "d = 0.127 mm × 92^((36 − n) / 39)")


def _gauge_of(given: Given) -> Answer:
    gauge = wire.nearest_gauge(given["measured_mm"])
    name = str(gauge) if gauge >= 0 else "0" * (1 - gauge)
    off = (given["measured_mm"] / wire.diameter_mm(gauge) - 1) * 100
    figures = (
        Figure("gauge", "AWG", name),
        Figure("diameter_mm", later("which is"), wire.diameter_mm(gauge), "mm"),
        Figure("off_percent", later("Off by"), off, "%"),
    )
    return Answer(_("The nearest gauge is AWG {gauge}.").format(gauge=name), figures)


def _run(given: Given) -> Answer:
    figures = {name: given[name] for name in ("length_m", "current_a", "supply_v", "temperature_c")}
    found = wire.run(_gauge(given), **figures)
    shown_figures = (
        Figure("drop_v", later("Lost"), found.drop_v, "V"),
        Figure("left_v", later("Left at the far end"), found.left_v, "V"),
        Figure("resistance_ohm", later("There and back"), found.resistance_ohm, "Ω"),
        Figure("heat_w", later("Heat in the wire"), found.heat_w, "W"),
    )
    says = _("{drop} are lost, {left} arrive.").format(drop=shown(found.drop_v, "V", 3), left=shown(found.left_v, "V"))
    return Answer(says, shown_figures, "V = 2 × l × R/l × I", worded(found.remarks))


def _longest(given: Given) -> Answer:
    metres = wire.longest_run_m(_gauge(given), given["current_a"], given["drop_v"], given["temperature_c"])
    says = _("Up to {m} m, one way.").format(m=number(metres, 3))
    return Answer(says, (Figure("length_m", later("Length, one way"), metres, "m"),), "l = V / (2 × I × R/l)")


def _charging(given: Given) -> Answer:
    right = batteries.charging_voltage_is_right(given["measured_v"])
    low, high = batteries.CHARGE_LIMITS_V
    words = _("Within {low} to {high} V.") if right else _("Not within {low} to {high} V: stop charging.")
    figures = (Figure("within", later("Within"), "yes" if right else "no"),)
    remark = _(
        "Charging ends when the current has fallen to a tenth to a twentieth of the capacity; no trickle charge."
    )
    return Answer(
        words.format(low=number(low), high=number(high)),
        figures,
        remarks=(remark,),
        cautions=cautioned((), "lithium_cell"),
    )


def _standby(given: Given) -> Answer:
    cell = batteries.cell_named(given["name"])
    known = cell.capacity_mah if given["capacity_mah"] is None else (given["capacity_mah"], given["capacity_mah"])
    if known is None:
        raise BadInput("capacity_not_known", "capacity_mah", given=cell.name)
    low, high = (batteries.standby(each, given["drain_ua"], given["self_discharge_percent_year"]) for each in known)
    says = _("It keeps the memory for {low} to {high} years.").format(
        low=number(low.hours_h / YEAR_H, 2), high=number(high.hours_h / YEAR_H, 2)
    )
    figures = (
        Figure("low_years", later("At least"), low.hours_h / YEAR_H, "years"),
        Figure("high_years", later("At most"), high.hours_h / YEAR_H, "years"),
        Figure("drain_only_years", later("Without self-discharge, at least"), low.drain_only_h / YEAR_H, "years"),
        Figure("capacity", later("Capacity by maker"), f"{number(known[0])} to {number(known[1])} mAh"),
        Figure("size", later("Size"), f"Ø {number(cell.diameter_mm)} × {number(cell.height_mm)} mm"),
    )
    working = "t = ln(1 + k × Q / I) / k"
    return Answer(says, figures, working, worded(high.remarks), cautioned((), "lithium_cell"))


def _swap(given: Given) -> Answer:
    found = batteries.swap(given["fitted"], given["offered"], board_charges=given["board_charges"])
    facts = {"offered": given["offered"].upper(), "fitted": given["fitted"].upper()}
    words = _("A {offered} may stand in for the {fitted}.") if found.answer is Swap.MAY else _(
        "A {offered} must not stand in for the {fitted}."
    )  # fmt: skip
    return Answer(
        words.format(**facts),
        (Figure("answer", later("Answer"), found.answer.value),),
        remarks=worded(found.reasons),
        cautions=cautioned(found.remarks, "lithium_cell"),
    )


_GAUGE = Asked("gauge", later("AWG"), kind=Kind.TEXT, default="28")
_WARM = Asked("temperature_c", later("Temperature"), "°C", default="20")
CHAPTER = Chapter("wire-and-batteries", later("Wire and batteries"), (
    Reckoning("wire", later("A wire by its gauge"), (_GAUGE, _WARM), "ASTM B258; IACS copper", _wire),
    Reckoning("gauge-of", later("Gauge of a measured wire"),
              (Asked("measured_mm", later("Bare diameter"), "mm", default="0.32"),), "ASTM B258", _gauge_of),
    Reckoning("wire-drop", later("Voltage lost in a pair of wires"), (
        _GAUGE, Asked("length_m", later("Length, one way"), "m", default="0.3"),
        Asked("current_a", later("Current"), "A", default="0.5"),
        Asked("supply_v", later("Supply"), "V", default="5"), _WARM,
    ), "ASTM B258; IACS copper", _run),
    Reckoning("longest-run", later("How long a pair of wires may be"), (
        _GAUGE, Asked("current_a", later("Current"), "A", default="0.5"),
        Asked("drop_v", later("May lose"), "V", default="0.1"), _WARM), "ASTM B258; IACS copper", _longest),
    Reckoning("li-ion-charge", later("Charging voltage of a lithium-ion cell"), (
        Asked("measured_v", later("Measured"), "V", default="4.20"),),
        "4.20 V ± 1 % (junleepower, antenna1st)", _charging),
    Reckoning("save-battery", later("How long a save battery lasts"), (
        Asked("name", later("Cell"), kind=Kind.TEXT, default="CR2032"),
        Asked("drain_ua", later("Drain"), "µA", default="3"),
        Asked("capacity_mah", later("Capacity"), "mAh", optional=True, hint=later("empty: what makers give")),
        Asked("self_discharge_percent_year", later("Loses by itself a year"), "%", default="1"),
    ), "IEC 60086-3; capacities from secondary pages; 1 % a year is common practice", _standby),
    Reckoning("battery-swap", later("May this cell take its place?"), (
        Asked("fitted", later("Fitted"), kind=Kind.TEXT, default="CR2032"),
        Asked("offered", later("Offered"), kind=Kind.TEXT, default="LIR2032"),
        Asked("board_charges", later("The board charges it"), kind=Kind.YES, default="no"),
    ), "maker's handbook, not rechargeable; common practice", _swap),
))  # fmt: skip
