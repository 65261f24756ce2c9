"""What the steps of `order.py` say on this board: words with designators, values and polarity; the tool; the minutes.

Temperatures and minutes are common practice for leaded solder and for a practised hand; a shop's own figures come with
its services.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from shop.boards.spots import Spot
from shop.work import order, outline
from shop.work.part_words import part_words
from shop.work.wording import words_for

_NAMED = 16
_LONGEST = 300
_ABOUT = {
    order.SHIELD: gettext_lazy("Shield the plastics and connectors around {names} with foil or tape for high heat"),
    order.NEUTRALISE: gettext_lazy("Neutralise what leaked around {names}; look under each can"),
    order.WASH: gettext_lazy("Wash around {names} with alcohol, let it dry, and look for eaten traces"),
    order.HEATSINK_OFF: gettext_lazy("Unscrew {names} from the heat sink, and lift the heat sink off"),
    order.TRIM_LEGS: gettext_lazy("Trim long or bent-over legs of {names} on the solder side"),
    order.REFRESH: gettext_lazy("Put a little new solder on the old joints of {names}, so that they melt evenly"),
    order.CLEAR_HOLES: gettext_lazy("Clear the holes of {names}; no lead is forced through"),
    order.CLEAN_PADS: gettext_lazy("Clean the places of {names}, and look at every pad"),
    order.POLARITY: gettext_lazy("Polarity: compare {names} with the picture, one by one, and photograph them"),
    order.SOLDER: gettext_lazy("Solder {names}"),
    order.TRIM: gettext_lazy("Trim the legs of {names}"),
    order.CUT_LEG: gettext_lazy("Cut the leg of {names} short"),
    order.HEATSINK_FIX: gettext_lazy("Fix {names} to its heat sink first, with fresh paste, so that it sits right"),
    order.HEATSINK_ON: gettext_lazy("Set the heat sink with {names} on the board and fasten it; do not solder yet"),
}
_REMOVE = {
    "station": gettext_lazy("Remove {names} with the desoldering station; lift only what is loose"),
    "flood": gettext_lazy("Remove {names}: flood both joints with solder, rock it out from side to side, never pull"),
    "surface": gettext_lazy("Remove {names}: both joints molten at once, then lift; never twist what is still held"),
    "leaked": gettext_lazy("Remove {names} once they are washed: no fresh solder unseen, heat at the pads, lift"),
}
_TOOLS = {
    order.SHIELD: gettext_lazy("foil, tape for high heat"),
    order.NEUTRALISE: gettext_lazy("weak acid such as vinegar, brush, cotton"),
    order.WASH: gettext_lazy("isopropyl alcohol, brush"),
    order.HEATSINK_OFF: gettext_lazy("screwdriver that fits"),
    order.TRIM_LEGS: gettext_lazy("flush cutters"),
    order.REFRESH: gettext_lazy("iron, 350 °C; leaded solder"),
    order.CLEAR_HOLES: gettext_lazy("desoldering pump or braid, 350 °C"),
    order.CLEAN_PADS: gettext_lazy("braid, isopropyl alcohol, brush"),
    order.SOLDER: gettext_lazy("iron, 350 °C, about 3 s a joint; leaded solder"),
    order.TRIM: gettext_lazy("flush cutters, above the solder"),
    order.CUT_LEG: gettext_lazy("flush cutters"),
    order.WIRE: gettext_lazy("iron, 350 °C; wire stripper"),
    order.HEATSINK_FIX: gettext_lazy("heat-sink paste, thin; insulator and sleeve as they were"),
    order.HEATSINK_ON: gettext_lazy("screwdriver that fits"),
    outline.DISCHARGE: gettext_lazy("resistor with insulated leads, then a meter"),
    outline.CLEAN: gettext_lazy("isopropyl alcohol, brush"),
    outline.JOINTS: gettext_lazy("magnifier or microscope"),
    outline.RESISTANCE: gettext_lazy("meter, ohms"),
    outline.FIRST_POWER: gettext_lazy("bench supply with its current limited, or a series lamp for mains"),
}
_REMOVE_TOOLS = {
    "station": gettext_lazy("desoldering station, 350 °C"),
    "flood": gettext_lazy("iron, 350 °C; plenty of leaded solder"),
    "surface": gettext_lazy("two irons, or hot air at 300 to 350 °C"),
    "leaked": gettext_lazy("two irons, or hot air at 300 °C from the side"),
}
# Minutes: what a step takes at all, and for each placement.
_MINUTES = {
    outline.TEST_BEFORE: (5, 0), outline.UNPLUG: (1, 0), outline.OPEN: (6, 0), outline.DISCHARGE: (2, 0),
    outline.IDENTIFY: (2, 0), outline.PHOTOGRAPH: (2, 0), outline.MEASURE: (10, 0), outline.MEND: (20, 0),
    outline.SERVICE: (5, 0), outline.CLEAN: (5, 0), outline.DRY: (5, 0), outline.JOINTS: (5, 0),
    outline.LOOK_AGAIN: (3, 0), outline.RESISTANCE: (2, 0), outline.FIRST_POWER: (5, 0),
    outline.OPEN_READINGS: (10, 0), outline.CLOSE: (6, 0), outline.COUNT: (1, 0), order.SAVE_DATA: (10, 0),
    order.SHIELD: (3, 0), order.NEUTRALISE: (3, 0.5), order.WASH: (5, 0.3), order.TRIM_LEGS: (0, 0.2),
    order.REFRESH: (0, 0.3), order.HEATSINK_OFF: (3, 0), order.REMOVE: (0, 1.2), order.CLEAR_HOLES: (0, 0.7),
    order.CLEAN_PADS: (1, 0.3), order.FIT: (0, 0.7), order.POLARITY: (1, 0.1), order.SOLDER: (0, 0.6),
    order.TRIM: (0, 0.2), order.CUT_LEG: (1, 0.5), order.WIRE: (4, 0), order.HEATSINK_FIX: (4, 0),
    order.HEATSINK_ON: (3, 0), order.REPAIR: (15, 0),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class StepWords:
    """What a step says, with which tool, and how many minutes it takes about."""

    words: str
    tool: str
    minutes: int


def step_words(task: outline.Task, spots: Mapping[str, Spot]) -> StepWords:
    """Return the words of a step; spots are the board's placements by designator. Raises KeyError for no such code."""
    base, each = _MINUTES[task.code]
    tool = _REMOVE_TOOLS.get(task.how) if task.code == order.REMOVE else _TOOLS.get(task.code)
    minutes = task.minutes or ceil(base + each * len(task.refs))
    return StepWords(_fitting(_words(task, spots)), str(tool or ""), minutes)


def _fitting(words: str) -> str:
    """Return words within their column, cut with … where a note is too long for it."""
    return words if len(words) <= _LONGEST else f"{words[: _LONGEST - 1]}…"


def _words(task: outline.Task, spots: Mapping[str, Spot]) -> str:
    if task.code == order.FIT:
        return _("Fit {part}").format(part=part_words(spots[task.refs[0]], names(task.refs)))
    if task.code == order.REMOVE:
        return str(_REMOVE[task.how]).format(names=names(task.refs))
    if task.code in _ABOUT:
        return str(_ABOUT[task.code]).format(names=names(task.refs))
    if task.code == order.SAVE_DATA:
        return _("Save the player's data to another card or file before the battery goes, where that can be done")
    return words_for(task)


def names(designators: Sequence[str]) -> str:
    """Return designators in one line; of many, the first and how many more."""
    if len(designators) <= _NAMED:
        return ", ".join(designators)
    more = len(designators) - _NAMED
    tail = ngettext("and {n} more", "and {n} more", more).format(n=more)
    return f"{', '.join(designators[:_NAMED])} {tail}"
