"""Whether a replacement capacitor fits its place."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as later

from shop.engineering.fit import Fits, judge, rank
from shop.engineering.fit_facts import Candidate, Mounting, Place, Role, Technology, check_part, check_place
from shop.engineering.inputs import BadInput
from shop.reckoner.forms import Answer, Asked, Chapter, Figure, Given, Kind, Reckoning, Words
from shop.reckoner.reading_lists import candidates
from shop.reckoner.remarks import cautioned, worded

_SAYS: dict[Fits, Words] = {
    Fits.FITS: later("It fits."),
    Fits.WITH_REMARKS: later("It fits, with remarks."),
    Fits.CANNOT_TELL: later("That cannot be told: something is not known."),
    Fits.DOES_NOT_FIT: later("It does not fit."),
}


# What the arithmetic calls the figures of the place and of the part, and what the form does.
_OF_PLACE = {
    "capacitance_f": "place_f", "rated_v": "place_v", "temperature_c": "place_c", "pitch_mm": "place_pitch_mm",
    "diameter_mm": "room_mm",
}  # fmt: skip
_OF_PART = {"capacitance_f": "part_f", "rated_v": "part_v", "temperature_c": "part_c", "pitch_mm": "part_pitch_mm"}


@contextmanager
def _named(names: Mapping[str, str]) -> Iterator[None]:
    """Let a refusal name the figure as the form does."""
    try:
        yield
    except BadInput as bad:
        raise BadInput(bad.code, names.get(bad.name, bad.name), **bad.facts) from bad


def _fit(given: Given) -> Answer:
    place = Place(
        capacitance_f=given["place_f"], rated_v=given["place_v"], working_v=given["working_v"],
        role=Role(given["role"]), technology=Technology(given["place_technology"]), polarised=given["place_polarised"],
        temperature_c=given["place_c"], mounting=Mounting(given["place_mounting"]), diameter_mm=given["room_mm"],
        clearance_mm=given["clearance_mm"], pitch_mm=given["place_pitch_mm"],
    )  # fmt: skip
    part = Candidate(
        name="", capacitance_f=given["part_f"], rated_v=given["part_v"], tolerance_percent=given["tolerance_percent"],
        technology=Technology(given["part_technology"]), bipolar=given["part_bipolar"], temperature_c=given["part_c"],
        mounting=Mounting(given["part_mounting"]), diameter_mm=given["diameter_mm"], height_mm=given["height_mm"],
        pitch_mm=given["part_pitch_mm"], mains_class=given["mains_class"] or "",
    )  # fmt: skip
    with _named(_OF_PLACE):
        check_place(place)
    with _named(_OF_PART):
        check_part(part)
    found = judge(place, part)
    reasons = (*found.against, *found.unknown, *found.remarks)
    says = " ".join((str(_SAYS[found.answer]), *worded((*found.against, *found.unknown))))
    figures = (
        Figure("answer", later("Answer"), found.answer.value),
        Figure("reasons", later("Reasons"), ", ".join(remark.code for remark in reasons) or _("none against it")),
    )
    return Answer(says, figures, remarks=worded(found.remarks), cautions=cautioned(reasons, "charged_capacitor"))


def _rank(given: Given) -> Answer:
    place = Place(
        capacitance_f=given["place_f"], rated_v=given["place_v"], role=Role(given["role"]),
        temperature_c=given["place_c"], mounting=Mounting.RADIAL, diameter_mm=given["room_mm"],
        clearance_mm=given["clearance_mm"], pitch_mm=given["place_pitch_mm"],
    )  # fmt: skip
    with _named(_OF_PLACE):
        check_place(place)
    with _named(dict.fromkeys(("capacitance_f", "rated_v", *_OF_PART, "diameter_mm", "height_mm"), "candidates")):
        ranked = rank(place, candidates(given["candidates"]))
    best, fit = ranked[0]
    figures = tuple(
        Figure(f"place_{number}", part.name, " ".join((str(_SAYS[each.answer]), *worded(each.against + each.unknown))))
        for number, (part, each) in enumerate(ranked, start=1)
    )
    says = _("First comes {name}: {answer}").format(name=best.name, answer=_SAYS[fit.answer])
    return Answer(says, figures, cautions=cautioned((), "charged_capacitor"))


_ROLES = (
    ("supply", later("reservoir or supply")), ("decoupling", later("decoupling")),
    ("regulator_output", later("output of a regulator")), ("coupling", later("couples a signal")),
    ("timing", later("sets a time or a frequency")), ("mains", later("stands on the mains")),
    ("unknown", later("I do not know")),
)  # fmt: skip
_TECHNOLOGY = (
    ("electrolytic", later("electrolytic")), ("polymer", later("polymer")), ("tantalum", later("tantalum")),
    ("ceramic_1", later("ceramic, class 1 (C0G)")), ("ceramic_2", later("ceramic, class 2 (X7R, Y5V)")),
    ("film", later("film")),
)  # fmt: skip
_MOUNTING = (("radial", later("radial, through holes")), ("axial", later("axial")), ("smd", later("on pads (SMD)")))
_SOURCE = "IEC 60384-1 for ratings; the rest is common practice of the trade"
CHAPTER = Chapter("fit", later("Replacements"), (
    Reckoning("capacitor-fit", later("Does this capacitor fit?"), (
        Asked("role", later("What it does there"), kind=Kind.CHOICE, default="supply", choices=_ROLES),
        Asked("place_uf", later("Original"), "µF", 1e-6, "470", arg="place_f"),
        Asked("place_v", later("Original rating"), "V", default="16"),
        Asked("working_v", later("Voltage that really stands there"), "V", optional=True),
        Asked("place_technology", later("Original is"), kind=Kind.CHOICE, default="electrolytic", choices=_TECHNOLOGY),
        Asked("place_polarised", later("Plus is always plus there"), kind=Kind.YES, default="yes"),
        Asked("place_c", later("Original temperature class"), "°C", default="85", optional=True),
        Asked("place_mounting", later("Original stands"), kind=Kind.CHOICE, default="radial", choices=_MOUNTING),
        Asked("place_pitch_mm", later("Holes or pads apart"), "mm", default="5", optional=True),
        Asked("room_mm", later("Room, wide"), "mm", default="10", optional=True),
        Asked("clearance_mm", later("Room, high"), "mm", default="20", optional=True),
        Asked("part_uf", later("Replacement"), "µF", 1e-6, "470", arg="part_f"),
        Asked("part_v", later("Its rating"), "V", default="25"),
        Asked("tolerance_percent", later("Its tolerance ±"), "%", default="20", optional=True),
        Asked("part_technology", later("It is"), kind=Kind.CHOICE, default="electrolytic", choices=_TECHNOLOGY),
        Asked("part_bipolar", later("It is bipolar"), kind=Kind.YES, default="no"),
        Asked("part_c", later("Its temperature class"), "°C", default="105", optional=True),
        Asked("part_mounting", later("It stands"), kind=Kind.CHOICE, default="radial", choices=_MOUNTING),
        Asked("part_pitch_mm", later("Its leads apart"), "mm", default="5", optional=True),
        Asked("diameter_mm", later("Its diameter"), "mm", default="10", optional=True),
        Asked("height_mm", later("Its height"), "mm", default="16", optional=True),
        Asked("mains_class", later("Its mains class, such as X2 or Y1"), kind=Kind.TEXT, optional=True),
    ), _SOURCE, _fit),
    Reckoning("capacitor-choice", later("Which of these capacitors?"), (
        Asked("role", later("What it does there"), kind=Kind.CHOICE, default="supply", choices=_ROLES),
        Asked("place_uf", later("Original"), "µF", 1e-6, "470", arg="place_f"),
        Asked("place_v", later("Original rating"), "V", default="16"),
        Asked("place_c", later("Original temperature class"), "°C", default="85", optional=True),
        Asked("place_pitch_mm", later("Holes apart"), "mm", default="5", optional=True),
        Asked("room_mm", later("Room, wide"), "mm", default="10", optional=True),
        Asked("clearance_mm", later("Room, high"), "mm", default="20", optional=True),
        Asked("candidates", later("Candidates"), kind=Kind.TEXT,
              default="A 470 25 105 10 16 5; B 560 16 105 10 20 5; C 470 16 85 12.5 20 5",
              hint=later("name, µF, V, °C, Ø, height, pitch in mm; a hyphen where one is not known; then a semicolon")),
    ), _SOURCE, _rank),
))  # fmt: skip
