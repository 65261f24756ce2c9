"""Reading lists from one line of text: numbers, and candidates for a place."""

import re

from shop.engineering.fit_facts import Candidate, Mounting, Technology
from shop.engineering.inputs import BadInput

_LIKE = ("A 470 25 105 10 16 5; B 560 16 85 - - -",)
_FIGURES = 5  # after name and µF: volts, °C, diameter, height, pitch


def numbers(text: str, name: str, scale: float = 1.0) -> list[float]:
    """Return numbers that are parted by blanks, plus signs or semicolons, times scale. Raises BadInput."""
    try:
        found = [
            float(each.replace(",", ".").replace("\u2212", "-")) for each in re.split(r"[\s+;]+", text.strip()) if each
        ]
    except ValueError:
        raise BadInput("unreadable", name, given=text[:60], like=("47 22",)) from None
    return [each * scale for each in found]


def candidates(text: str) -> list[Candidate]:
    """Read candidates parted by semicolons: a name, µF, volts, and °C, Ø, height and pitch where they are known.

    A hyphen stands for a figure that is not known. They are radial electrolytics of ± 20 %. Raises BadInput.
    """
    listed = [_candidate(line.split()) for line in re.split(r"[;\n]", text) if line.strip()]
    if not listed:
        raise BadInput("unreadable", "candidates", given=text[:60], like=_LIKE)
    return listed


def _candidate(words: list[str]) -> Candidate:
    try:
        name, farads, *figures = words
        values = [None if each == "-" else float(each.replace(",", ".")) for each in figures]
        rated_v, temperature_c, diameter_mm, height_mm, pitch_mm = values + [None] * (_FIGURES - len(values))
        if rated_v is None:
            raise ValueError
        return Candidate(
            name=name, capacitance_f=float(farads.replace(",", ".")) * 1e-6, rated_v=rated_v, tolerance_percent=20,
            technology=Technology.ELECTROLYTIC, mounting=Mounting.RADIAL, temperature_c=temperature_c,
            diameter_mm=diameter_mm, height_mm=height_mm, pitch_mm=pitch_mm,
        )  # fmt: skip
    except ValueError:
        raise BadInput("unreadable", "candidates", given=" ".join(words)[:60], like=_LIKE) from None
