"""Solder and static control."""

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as later

from shop.engineering import rework
from shop.engineering.rework import ALLOYS, STATIC_LIMITS, Fill, Static
from shop.reckoner.forms import Answer, Asked, Chapter, Figure, Given, Kind, Reckoning, Words
from shop.reckoner.remarks import cautioned, worded
from shop.reckoner.showing import number, shown


def _tip(given: Given) -> Answer:
    alloy = ALLOYS[given["alloy"]]
    found = rework.tip(alloy.name, given["tip_c"])
    says = _("The tip is {k} K above the point where {alloy} is liquid, {c} °C.").format(
        k=number(found.above_k), alloy=alloy.name, c=number(alloy.liquidus_c)
    )
    figures = (
        Figure("solidus_c", later("Solid below"), alloy.solidus_c, "°C"),
        Figure("liquidus_c", later("Liquid above"), alloy.liquidus_c, "°C"),
        Figure("above_k", later("Tip above that"), found.above_k, "K"),
    )
    return Answer(says, figures, remarks=worded(found.remarks), cautions=cautioned(found.remarks, "fumes"))


def _fill(given: Given) -> Answer:
    product_class = int(given["product_class"])
    found = rework.hole_fill(product_class, round(given["leads"]), given["fill_percent"], given["board_mm"])
    wetting = rework.least_wetting_degrees(product_class)
    if found.least_percent is None:
        return Answer(
            _("Class 1 does not specify a fill."), (Figure("verdict", later("Verdict"), found.verdict.value),)
        )
    words = _("Filled far enough: {least} % are asked for.") if found.verdict is Fill.PASS else _(
        "Not filled far enough: {least} % are asked for."
    )  # fmt: skip
    figures = (
        Figure("least_percent", later("Least fill"), found.least_percent, "%"),
        Figure("least_mm", later("that is"), found.least_percent / 100 * given["board_mm"], "mm"),
        Figure("wetting", later("Wetted around, far side"), f"{number(wetting or 0)}°"),
    )
    return Answer(words.format(least=number(found.least_percent)), figures)


_WHAT: dict[Static, Words] = {
    Static.WRIST_STRAP: later("wrist strap, through its wearer"),
    Static.FLOOR_AND_SHOES: later("floor and shoes, together"),
    Static.FLOOR_AND_SHOES_BODY: later("floor and shoes, with the body voltage measured too"),
    Static.BODY_VOLTAGE: later("voltage on the body"),
    Static.EQUIPMENT_GROUND: later("equipment ground"),
    Static.AUXILIARY_GROUND: later("auxiliary ground"),
    Static.BONDING: later("bonding to ground"),
    Static.MAT: later("bench mat to ground"),
    Static.ISOLATED_CONDUCTOR: later("voltage on an isolated conductor"),
}


def _static(given: Given) -> Answer:
    what = Static(given["what"])
    limit = STATIC_LIMITS[what]
    within = rework.static_within(what, given["measured"])
    words = _("Within the limit of {limit}.") if within else _("Not within the limit of {limit}.")
    span = (
        shown(limit.high, limit.unit)
        if not limit.low
        else f"{shown(limit.low, limit.unit)} – {shown(limit.high, limit.unit)}"
    )
    figures = (
        Figure("within", later("Within"), "yes" if within else "no"),
        Figure("source", later("Source"), limit.source),
    )
    return Answer(words.format(limit=span), figures)


CHAPTER = Chapter("rework", later("Solder and static"), (
    Reckoning("iron-tip", later("Is the tip hot enough?"), (
        Asked("alloy", later("Solder"), kind=Kind.CHOICE, default="Sn63Pb37",
              choices=tuple((name, name) for name in ALLOYS)),
        Asked("tip_c", later("Tip"), "°C", default="330")),
        "a handbook's table of alloys; SAC305 from memory; the window is common practice", _tip),
    Reckoning("hole-fill", later("Is the hole filled far enough?"), (
        Asked("product_class", later("Class"), kind=Kind.CHOICE, default="2",
              choices=(("1", "1"), ("2", "2"), ("3", "3"))),
        Asked("leads", later("Leads of the part"), default="2"),
        Asked("fill_percent", later("Filled"), "%", default="80"),
        Asked("board_mm", later("Board"), "mm", default="1.6")), "IPC-A-610F (2014), table 7-4", _fill),
    Reckoning("static-check", later("Static control"), (
        Asked("what", later("Measured"), kind=Kind.CHOICE, default="wrist_strap",
              choices=tuple((what.value, label) for what, label in _WHAT.items())),
        Asked("measured", later("Reads, in Ω or V"), default="1000000")), "ANSI/ESD S20.20-2021 and -2007", _static),
))  # fmt: skip
