"""What the steps of the outline say, and the caution that stands beside each.

The cautions name what hurts and how it is commonly met. They defer to local codes and to people who are licensed for
such work, and replace neither.
"""

from django.utils.translation import gettext_lazy as _

from shop.boards.models import DeviceModel
from shop.work import order, outline

_WORDS = {
    outline.TEST_BEFORE: _("Test it as it came and note what it does and does not do"),
    outline.UNPLUG: _("Unplug it, and take out batteries and cartridges"),
    outline.OPEN: _("Open it; put the fasteners into their bag and count them by place"),
    outline.DISCHARGE: _("Discharge the large capacitors, then measure that no voltage is left"),
    outline.IDENTIFY: _("Identify the board revision by its marking"),
    outline.PHOTOGRAPH: _("Photograph the board on both sides before anything is changed"),
    outline.MEASURE: _("Measure, and write down what was found"),
    outline.MEND: _("Find and mend what the test showed"),
    outline.CLEAN: _("Clean off the flux"),
    outline.DRY: _("Let it dry completely"),
    outline.JOINTS: _("Check every new joint under magnification, and photograph them"),
    outline.LOOK_AGAIN: _("Second look: go through the photos of polarity and joints once more, best with other eyes"),
    outline.RESISTANCE: _("Measure the resistance from each rail to ground: no short"),
    outline.FIRST_POWER: _("First power with the current limited"),
    outline.OPEN_READINGS: _("Take the readings that need it open"),
    outline.CLOSE: _("Close it, with the fasteners in the reverse order"),
    outline.COUNT: _("Count: no fastener is left and none is missing"),
}
_STATIC = _("Static kills chips: wrist strap on, once power and charge are gone.")
_CHARGE = _("Capacitors stay charged after unplugging. Discharge through a resistor, then measure; never short them.")
_MAINS = _("Mains inside: its primary side is for people trained or licensed under your local code.")
_TUBE = _("The picture tube holds a deadly charge for days and can implode: trained people only, eyes protected.")
_CELL = _("Lithium cells burn: do not pierce, heat or short one.")
_IRON = _("The iron and hot air burn. Extract the fumes, protect your eyes, wash your hands.")
_SOLVENT = _("Solvent vapour burns and harms: no flame or hot tool near it, and fresh air.")
_BURST = _("A part fitted the wrong way can burst: wrist strap off, eyes protected, face away, a hand at the switch.")
_LIVE = _("Live while you measure: wrist strap off, insulated probes, one hand, no metal on your wrists.")
_HOT = _("Hot air melts plastics and lights foam: shield them, and know what lies behind the nozzle.")
_LYE = _("What leaked is caustic: gloves, eyes protected, nothing of it on the skin.")
_FLY = _("Cut ends fly: eyes protected, hold the end while you cut, and find it again.")
_PINCH = _("Before the case closes: no cable pinched, no tool or loose solder left inside.")

_ALWAYS = {
    outline.DISCHARGE: (_CHARGE,),
    order.SAVE_DATA: (_STATIC,),
    order.SHIELD: (_HOT,),
    order.NEUTRALISE: (_LYE,),
    order.WASH: (_SOLVENT,),
    order.TRIM_LEGS: (_FLY,),
    order.REFRESH: (_IRON,),
    order.REMOVE: (_IRON, _STATIC),
    order.CLEAR_HOLES: (_IRON,),
    order.CLEAN_PADS: (_SOLVENT,),
    order.REPAIR: (_IRON, _STATIC),
    order.SOLDER: (_IRON,),
    order.TRIM: (_FLY,),
    order.CUT_LEG: (_FLY,),
    order.WIRE: (_IRON, _STATIC),
    outline.IDENTIFY: (_STATIC,),
    outline.MEASURE: (_LIVE,),
    outline.SERVICE: (_IRON, _STATIC),
    outline.MEND: (_IRON, _STATIC),
    outline.CLEAN: (_SOLVENT,),
    outline.FIRST_POWER: (_BURST,),
    outline.OPEN_READINGS: (_LIVE,),
    outline.CLOSE: (_PINCH,),
}
_WITH_MAINS = (
    outline.TEST_BEFORE, outline.UNPLUG, outline.OPEN, outline.DISCHARGE, outline.MEASURE, outline.MEND,
    outline.FIRST_POWER, outline.OPEN_READINGS, order.REMOVE,
)  # fmt: skip
_WITH_TUBE = (outline.OPEN, outline.DISCHARGE, outline.CLOSE)
_WITH_CELL = (outline.UNPLUG, outline.SERVICE, outline.MEND, order.REMOVE)  # heat and a slipped tool come near the cell


def words_for(task: outline.Task) -> str:
    """Return what a step of the outline says: its own words, or the shop's. Raises KeyError for no such."""
    return task.words or str(_WORDS[task.code])


def caution_for(code: str, model: DeviceModel) -> str:
    """Return what to beware of at a step with this model on the bench; empty when there is nothing."""
    cautions = [*_ALWAYS.get(code, ())]
    if model.mains_inside and code in _WITH_MAINS:
        cautions.append(_MAINS)
    if model.tube_inside and code in _WITH_TUBE:
        cautions.append(_TUBE)
    if model.battery_inside and code in _WITH_CELL:
        cautions.append(_CELL)
    return " ".join(str(caution) for caution in cautions)


def is_hold_point(code: str, model: DeviceModel) -> bool:
    """Tell whether nothing may follow before this step is done: what is looked at twice, and a charge that can kill."""
    return code in (order.POLARITY, outline.JOINTS, outline.LOOK_AGAIN) or _kills(code, model)


def evidence_for(code: str, model: DeviceModel) -> str:
    """Return what must come with the tick: a value of `JobStep.Evidence`, empty for nothing."""
    if code in (order.POLARITY, outline.JOINTS):
        return "photo"
    if code == outline.RESISTANCE:
        return "ohms"
    return "volts" if _kills(code, model) else ""


def _kills(code: str, model: DeviceModel) -> bool:
    return code == outline.DISCHARGE and (model.mains_inside or model.tube_inside)
