"""How different two colours look: CIEDE2000, for a picture before and after.

Sources: Sharma, Wu & Dalal 2005, Color Research & Application 30(1), for the difference; IEC 61966-2-1 for sRGB and CIE
15 for L*a*b* under D65, both from memory and checked against scikit-image.
"""

import math
import re
from dataclasses import dataclass

from shop.engineering.inputs import BadInput, Remark, in_range

# The formula was fitted to small differences (Sharma, Wu & Dalal).
SMALL_DIFFERENCE = 5.0
# Common practice: what a trained eye just sees side by side.
JUST_NOTICEABLE = 1.0
_MOST_AB = 1000.0
_HEX = re.compile(r"#[0-9a-fA-F]{6}")
_CHROMA_KNEE = 25.0**7
# From linear red, green and blue to CIE XYZ; the rows' sums are the D65 white.
_SRGB_TO_XYZ = (
    (0.4124564, 0.3575761, 0.1804375),
    (0.2126729, 0.7151522, 0.0721750),
    (0.0193339, 0.1191920, 0.9503041),
)


@dataclass(frozen=True, slots=True)
class Lab:
    """A colour in CIE L*a*b*: lightness 0 to 100, green to red, blue to yellow."""

    lightness: float
    a: float
    b: float
    remarks: tuple[Remark, ...] = ()


@dataclass(frozen=True, slots=True)
class ColourDifference:
    """The CIEDE2000 difference ΔE00; about 1 is just seen."""

    delta_e: float
    remarks: tuple[Remark, ...]


def lab_of_srgb(colour: str) -> Lab:
    """Return an 8-bit sRGB colour, written #rrggbb, in L*a*b* under D65 (2° observer).

    Valid for pictures in sRGB, which is what cameras save. Raises BadInput `unreadable`.
    """
    return _lab("colour", colour)


def srgb_difference(before: str, after: str) -> ColourDifference:
    """Return the CIEDE2000 difference of two 8-bit sRGB colours, written #rrggbb, such as a picture's before and after.

    Both pictures have to be taken in the same light with the same settings. Raises BadInput `unreadable`. Remarks like
    `ciede2000`.
    """
    return _judged(_delta_e(_lab("before", before), _lab("after", after)))


def ciede2000(
    *, before_l: float, before_a: float, before_b: float, after_l: float, after_a: float, after_b: float
) -> ColourDifference:
    """Return the CIEDE2000 difference of two colours in L*a*b*, with all weights 1.

    L* 0 to 100, a* and b* −1000 to 1000. Symmetric, 0 for the same colour. Raises BadInput `out_of_range` or
    `not_finite`. Remarks: `large_difference` (facts delta_e, fitted_to) over 5, beyond which the formula was not
    fitted; `hardly_noticeable` (fact threshold) up to 1.
    """
    for name, lightness in (("before_l", before_l), ("after_l", after_l)):
        in_range(name, lightness, "", 0, 100)
    axes = {"before_a": before_a, "before_b": before_b, "after_a": after_a, "after_b": after_b}
    for name, value in axes.items():
        in_range(name, value, "", -_MOST_AB, _MOST_AB)
    return _judged(_delta_e(Lab(before_l, before_a, before_b), Lab(after_l, after_a, after_b)))


def _judged(delta_e: float) -> ColourDifference:
    remarks: tuple[Remark, ...] = ()
    if delta_e > SMALL_DIFFERENCE:
        remarks = (Remark("large_difference", {"delta_e": delta_e, "fitted_to": SMALL_DIFFERENCE}),)
    elif delta_e <= JUST_NOTICEABLE:
        remarks = (Remark("hardly_noticeable", {"threshold": JUST_NOTICEABLE}),)
    return ColourDifference(delta_e, remarks)


def _lab(name: str, colour: str) -> Lab:
    if not _HEX.fullmatch(colour):
        raise BadInput("unreadable", name, given=colour)
    light = [_linear(part / 255) for part in bytes.fromhex(colour[1:])]
    # Each row is taken against its own white, so that white is exactly 100, 0, 0.
    x, y, z = (_lab_root(sum(map(float.__mul__, row, light)) / sum(row)) for row in _SRGB_TO_XYZ)
    return Lab(116 * y - 16, 500 * (x - y), 200 * (y - z))


def _delta_e(first: Lab, second: Lab) -> float:
    mean_raw_chroma = (math.hypot(first.a, first.b) + math.hypot(second.a, second.b)) / 2
    stretch = 1 + 0.5 * (1 - _chroma_weight(mean_raw_chroma))
    chromas = [math.hypot(stretch * colour.a, colour.b) for colour in (first, second)]
    hues = [_hue_degrees(stretch * colour.a, colour.b) for colour in (first, second)]
    turn, mean_hue = _turn_and_mean(hues, grey=chromas[0] * chromas[1] == 0)
    mean_chroma = sum(chromas) / 2
    off_middle = ((first.lightness + second.lightness) / 2 - 50) ** 2
    scale_l = 1 + 0.015 * off_middle / math.sqrt(20 + off_middle)
    scale_c = 1 + 0.045 * mean_chroma
    scale_h = 1 + 0.015 * mean_chroma * _hue_weight(mean_hue)
    in_lightness = (second.lightness - first.lightness) / scale_l
    in_chroma = (chromas[1] - chromas[0]) / scale_c
    in_hue = 2 * math.sqrt(chromas[0] * chromas[1]) * math.sin(math.radians(turn / 2)) / scale_h
    crossed = _rotation(mean_chroma, mean_hue) * in_chroma * in_hue
    # The rotation is within ±√3, below 2, so the sum is never negative.
    return math.sqrt(in_lightness**2 + in_chroma**2 + in_hue**2 + crossed)


def _turn_and_mean(hues: list[float], *, grey: bool) -> tuple[float, float]:
    """Return the shortest turn from the first hue to the second and the hue halfway, degrees; grey has no hue."""
    first, second = hues
    if grey:
        return 0.0, first + second
    turn, mean = second - first, (first + second) / 2
    if abs(turn) <= 180:
        return turn, mean
    return turn - math.copysign(360, turn), mean + (180 if first + second < 360 else -180)


def _hue_weight(hue: float) -> float:
    parts = ((-0.17, 1, -30), (0.24, 2, 0), (0.32, 3, 6), (-0.20, 4, -63))
    return 1 + sum(size * math.cos(math.radians(times * hue + shift)) for size, times, shift in parts)


def _rotation(chroma: float, hue: float) -> float:
    """Return how far chroma and hue are coupled, which matters for saturated blues."""
    turn = 60 * math.exp(-(((hue - 275) / 25) ** 2))
    return -2 * _chroma_weight(chroma) * math.sin(math.radians(turn))


def _chroma_weight(chroma: float) -> float:
    return math.sqrt(chroma**7 / (chroma**7 + _CHROMA_KNEE))


def _hue_degrees(a: float, b: float) -> float:
    return math.degrees(math.atan2(b, a)) % 360 if a or b else 0.0


def _linear(part: float) -> float:
    return part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4


def _lab_root(share: float) -> float:
    return math.cbrt(share) if share > (6 / 29) ** 3 else share * (29 / 6) ** 2 / 3 + 4 / 29
