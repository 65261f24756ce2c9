"""What a layout program's words tell about a part that its file does not say outright. Pure.

Package names follow the public naming of open footprint libraries (`CP_Radial_D8.0mm_P3.50mm`, `R_0805_2012Metric`)
and of IPC-7351 (`CAPAE660X550N`), both from memory. A guess is a proposal: the placement table says which fields a row
gave.
"""

import re

from shop.boards.designators import kinds_of
from shop.boards.spots import Kind, Mount, Points
from shop.engineering.inputs import BadInput
from shop.engineering.letter_codes import Quantity, read_letter_code

# The first pattern found in the package whose kind the class letters allow decides. C_Radial and C_Elec are bipolar in
# those libraries: no kind of electrolytic that could be put in the wrong way round.
_PACKAGES: tuple[tuple[Kind, re.Pattern[str]], ...] = tuple(
    (kind, re.compile(pattern, re.IGNORECASE))
    for kind, pattern in (
        (Kind.TANTALUM, r"tantal|^CP_EIA|^CAPMP"),
        (Kind.ELECTROLYTIC, r"^CP_|^CAPAE|^CAPPRD|^CAPPA"),
        (Kind.CERAMIC, r"^C_Disc|^C_\d{4,5}_|^CAPC\d"),
        (Kind.FILM, r"^C_Rect|^C_Axial"),
        (Kind.CRYSTAL, r"crystal|resonator|HC-?49"),
        (Kind.DIODE, r"^D_|^LED|^DO-?\d|^DIO"),
        (Kind.REGULATOR, r"^TO-?(?:220|252|263)|^SOT-?223"),
        (Kind.FUSE, r"^Fuse"),
        (Kind.BATTERY, r"^Battery"),
    )
)
_REGULATOR = re.compile(
    r"(?<![0-9])(?:7[89][LMS]?(?:05|06|08|09|10|12|15|18|24)|LM[123]17|LM337|1117|[LMUµ][AM]723)(?![0-9])",
    re.IGNORECASE,
)
# What class letters mean when nothing says more, the first that they allow.
_USUAL = (Kind.OTHER, Kind.CONNECTOR, Kind.CAPACITOR, Kind.TRANSISTOR, Kind.IC)
_THROUGH = re.compile(r"THT|Radial|Axial|Disc|(?<![A-Z])DO-?(?:7|15|27|35|41|201)(?![0-9])", re.IGNORECASE)
_SURFACE = re.compile(
    r"SMD|Metric|Elec_|EIA-|MELF|CAPAE|CAPC\d|CAPMP|RESC\d|DPAK|TO-?(?:252|263)|DO-?21[3-6]"
    r"|(?<![A-Z])(?:[HLMSTV]{0,3}SO(?:IC|P|J|T|D|N)?|[A-Z]{0,3}QF[PN]|PLCC|LCC|DFN|BGA|SM[ABC])(?![A-Z])"
    r"|(?<!\d)(?:0201|0402|0603|0805|1206|1210|1812|2010|2512)(?!\d)",
    re.IGNORECASE,
)
_PLAIN = re.compile(r"([0-9]{1,12}(?:[.,][0-9]{1,12})?|[.,][0-9]{1,12}) ?([pnuµmkMG]?)(F|Ω|H|V|A|W|Hz)?")
_POWERS = {"": 0, "p": -12, "n": -9, "u": -6, "µ": -6, "m": -3, "k": 3, "M": 6, "G": 9}
# As typed: other micro and ohm signs, microfarads as old sheets have them, capitals by habit.
_TYPED = tuple(
    (re.compile(rf"(?<=[0-9 ]){pattern}$"), sign)
    for pattern, sign in (
        (r"(?:[uUµ\N{GREEK SMALL LETTER MU}]F|MFD|mfd)", "µF"),
        (r"[uU\N{GREEK SMALL LETTER MU}]", "µ"),
        (r"N(F?)", r"n\1"),
        (r"P(F?)", r"p\1"),
        (r"([kKMG]?)(?:\N{OHM SIGN}|[oO]hms?|OHMS?)", r"\1Ω"),
        (r"K(|Ω|Hz)", r"k\1"),
        (r"(k?)v", r"\1V"),
    )
)
_VOLTS = re.compile(r"([+-]?[0-9]{1,9}(?:[.,][0-9]{1,9})?) ?(?:([mk]?)V ?(?:DC|AC|~|=)?)?", re.IGNORECASE)
_BESIDE = re.compile(
    r"(.*?\S)(?: ?[/;@_] ?|,? )([0-9][0-9.,]* ?k?V(?: ?DC| ?AC|~|=)?|[0-9][0-9.,/]* ?W)", re.IGNORECASE
)

_MM = r"([0-9]{1,3}(?:\.[0-9]{1,3})?)"
_SIZES = (re.compile(rf"_[DL]{_MM}mm_[WD]{_MM}mm"), re.compile(rf"(?<!Elec)_{_MM}x{_MM}mm"))
_ROUND = re.compile(rf"(?:_D(?=[0-9.]+mm)|Elec_(?=[0-9.]+x)){_MM}")


def guess_kind(designator: str, value: str, package: str) -> Kind:
    """Return the kind that class letters, value and package make likely; OTHER when they settle nothing.

    A kind that the class letters do not allow is never returned, but for OTHER.
    """
    allowed = kinds_of(designator)
    if len(allowed) == 1:
        return next(iter(allowed))
    if Kind.REGULATOR in allowed and _REGULATOR.search(value):
        return Kind.REGULATOR
    if Kind.CRYSTAL in allowed and re.search(r"[0-9] ?[kM]?Hz\b", value, re.IGNORECASE):
        return Kind.CRYSTAL
    for kind, pattern in _PACKAGES:
        # A package alone makes no transistor a regulator: both come in the same ones.
        if kind in allowed and pattern.search(package) and not (kind is Kind.REGULATOR and Kind.TRANSISTOR in allowed):
            return kind
    return next((kind for kind in _USUAL if kind in allowed), Kind.OTHER)


def guess_mount(package: str) -> Mount:
    """Return how a package of that name is soldered: through the board unless the name says surface."""
    surface = _SURFACE.search(package) and not _THROUGH.search(package)
    return Mount.SURFACE if surface else Mount.THROUGH


def split_rating(value: str) -> tuple[str, str]:
    """Return value and rating of a cell such as `100uF/25V`, each as `100 µF`; the rating in volts or watts, or empty.

    What is not understood stays as it is. A voltage that stands alone, as of a zener diode, is the value.
    """
    text = " ".join(value.split())
    # No value is longer, and the pattern would be slow on a whole page in one cell.
    beside = _BESIDE.fullmatch(text) if len(text) <= 80 else None
    return (_normal(beside[1]), _normal(beside[2])) if beside else (_normal(text), "")


def read_volts(text: str) -> float | None:
    """Return a rating in volts: `25`, `25 V`, `6,3V`, `6V3`, `250 VAC`, `1 kV`; None when it is none.

    The sign is kept, so that the caller can say what is wrong with it.
    """
    tidied = " ".join(text.split())
    plain = _VOLTS.fullmatch(tidied)
    if plain:
        return float(f"{plain[1].replace(',', '.')}e{_POWERS[(plain[2] or '').lower()]}")
    coded = _letter_code(tidied)
    return coded[0] if coded and coded[1] == "V" else None


def read_value(text: str) -> tuple[float, str] | None:
    """Return the number and its unit F, Ω, H or V, or "" where none is written: `100 µF`, `0,1u`, `10 kΩ`, `2R2`.

    A letter in place of the point is IEC 60062's and gives the unit too. None when it is no such value.
    """
    plain = _number_and_unit(text)
    if plain and plain[3] in (None, "F", "Ω", "H", "V"):
        return float(f"{plain[1].replace(',', '.')}e{_POWERS[plain[2]]}"), plain[3] or ""
    return _letter_code(_as_written(text))


def size_of(package: str) -> tuple[float | None, float | None]:
    """Return width and depth in mm as far as a package's name tells them, at 0°; the lead pitch is no size.

    `D8.0mm` is a round can, `D5.0mm_W2.5mm` a disc, `Elec_6.3x5.8` diameter and height (so the diameter twice),
    `2012Metric` 2.0 × 1.2, `3.9x4.9mm` a body.
    """
    for pattern in _SIZES:
        found = pattern.search(package)
        if found:
            return float(found[1]), float(found[2])
    round_one = _ROUND.search(package)
    if round_one:
        return float(round_one[1]), float(round_one[1])
    chip = re.search(r"_([0-9]{2})([0-9]{2})Metric", package)
    return (int(chip[1]) / 10, int(chip[2]) / 10) if chip else (None, None)


def positive_of(kind: Kind, rotation_deg: float) -> Points:
    """Return where the positive lead points if the layout follows IEC 61188-7 level A: pin 1 left at 0°.

    Assumed, from memory of the standard and of open libraries: pin 1 is the positive lead, but of a diode the cathode,
    so that its anode is right; rotation in degrees is counterclockwise as seen from the part's own side, and is taken
    to the nearest 90. The answer is seen from that side too, so that nothing is mirrored on the bottom side. Libraries
    differ, level B of the same standard among them: somebody must look at the board.
    """
    turned = [Points.LEFT, Points.DOWN, Points.RIGHT, Points.UP]
    quarters = round(rotation_deg % 360 / 90) + (2 if kind is Kind.DIODE else 0)
    return turned[quarters % 4]


def _as_written(text: str) -> str:
    """Return the text with one spelling for each sign: µ for micro, Ω for ohms, one blank at most."""
    tidied = " ".join(text.split())
    for pattern, sign in _TYPED:
        tidied = pattern.sub(sign, tidied)
    return tidied


def _number_and_unit(text: str) -> re.Match[str] | None:
    # Most are written well, and a table has thousands of them.
    return _PLAIN.fullmatch(text) or _PLAIN.fullmatch(_as_written(text))


def _normal(text: str) -> str:
    """Return number, blank and unit, with a decimal point; the text as it is when it is not a number with a unit."""
    plain = _number_and_unit(text)
    if plain is None or plain[3] is None:
        return text
    prefix = "µ" if plain[2] == "u" else plain[2]
    return f"{plain[1].replace(',', '.')} {prefix}{plain[3]}"


def _letter_code(text: str) -> tuple[float, str] | None:
    units = {Quantity.RESISTANCE: "Ω", Quantity.CAPACITANCE: "F", Quantity.VOLTAGE: "V"}
    if " " in text:
        return None  # the reader would close up `470u 16` to one number
    try:
        read = read_letter_code(text)
    except BadInput:
        return None
    return read.value, units[read.quantity]
