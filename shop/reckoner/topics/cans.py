"""Sizes of capacitor cans: size letters, lands, lead pitch."""

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as later

from shop.engineering.smd_cans import can_of, can_of_size_letter, radial_pitch_mm
from shop.reckoner.forms import Answer, Asked, Chapter, Figure, Given, Kind, Reckoning
from shop.reckoner.remarks import worded
from shop.reckoner.showing import number


def _size_letter(given: Given) -> Answer:
    can = can_of_size_letter(given["letter"])
    says = _("Size {letter} is a can of {size} mm.").format(
        letter=given["letter"].upper(), size=f"{can.diameter_mm:g} × {can.length_mm:g}"
    )
    figures = (
        Figure("diameter_mm", later("Diameter"), can.diameter_mm, "mm"),
        Figure("length_mm", later("Length"), can.length_mm, "mm"),
    )
    return Answer(says, figures, remarks=worded(can.remarks))


def _can(given: Given) -> Answer:
    can = can_of(given["diameter_mm"], given["length_mm"])
    figures = (
        Figure("base_width_mm", later("Base, wide"), can.base_width_mm, "mm"),
        Figure("base_depth_mm", later("Base, deep"), can.base_depth_mm, "mm"),
        Figure("gap_mm", later("Between the terminals"), can.gap_mm, "mm"),
        Figure("terminal_mm", later("Length of a terminal"), can.terminal_mm, "mm"),
    )
    says = _("A can of {size} mm stands on a base of {base} mm, ± 0.2 mm.").format(
        size=f"{can.diameter_mm:g} × {can.length_mm:g}", base=f"{can.base_width_mm:g} × {can.base_depth_mm:g}"
    )
    return Answer(says, figures, remarks=worded(can.remarks))


def _pitch(given: Given) -> Answer:
    pitch = radial_pitch_mm(given["diameter_mm"])
    says = _("A radial can of {diameter} mm usually has its leads {pitch} mm apart (from memory).").format(
        diameter=number(given["diameter_mm"]), pitch=number(pitch)
    )
    return Answer(says, (Figure("pitch_mm", later("Lead pitch"), pitch, "mm"),))


CHAPTER = Chapter("cans", later("Sizes of capacitor cans"), (
    Reckoning("size-letter", later("Size letter of an SMD can"),
              (Asked("letter", later("Letter"), kind=Kind.TEXT, default="D"),),
              "Panasonic's letters, from memory; nichicon CD series", _size_letter),
    Reckoning("can-size", later("Land of an SMD can"),
              (Asked("diameter_mm", later("Diameter"), "mm", default="6.3"),
               Asked("length_mm", later("Length"), "mm", default="5.8")), "nichicon CD series", _can),
    Reckoning("lead-pitch", later("Lead pitch of a radial can"),
              (Asked("diameter_mm", later("Diameter"), "mm", default="8"),), "makers' sheets, from memory", _pitch),
))  # fmt: skip
