"""Whether a capacitor may take a place on a board: every reason for and against, and candidates in order.

What is not known is never taken for good: it makes the answer "cannot tell" where the place asks for it. No answer
says that a thing is safe. The rules are in `fit_rules`, each with its source; most are common practice of the repair
trade.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from shop.engineering.fit_facts import Candidate, Finding, Place, Weight, check_part, check_place
from shop.engineering.fit_rules import RULES
from shop.engineering.inputs import Remark


class Fits(StrEnum):
    """Whether a part fits a place, from best to worst."""

    FITS = "fits"
    WITH_REMARKS = "fits_with_remarks"
    CANNOT_TELL = "cannot_tell"
    DOES_NOT_FIT = "does_not_fit"


@dataclass(frozen=True, slots=True)
class Fit:
    """The answer with its reasons: what speaks against it, what is not known, and what to bear in mind."""

    answer: Fits
    against: tuple[Remark, ...] = ()
    unknown: tuple[Remark, ...] = ()
    remarks: tuple[Remark, ...] = ()


def judge(place: Place, part: Candidate) -> Fit:
    """Return whether a part may take a place, with every reason.

    Raises BadInput for figures that cannot be: capacitance 0.1 pF to 10 F, voltages 0.5 V to 10 kV, sizes up to 200 mm,
    temperatures 40 to 200 °C, resistances and ripple above zero.
    """
    check_place(place)
    check_part(part)
    return _answer([finding for rule in RULES for finding in rule(place, part)])


def rank(place: Place, parts: Sequence[Candidate]) -> list[tuple[Candidate, Fit]]:
    """Return the parts with their answers, the best first, in an order that does not depend on how they came.

    First by answer, then by fewer remarks, nearness of capacitance by ratio, least spare voltage, longer life at the
    higher temperature class, lower height, and the name. Raises BadInput like `judge`.
    """
    judged = [(part, judge(place, part)) for part in parts]
    order = list(Fits)

    def key(pair: tuple[Candidate, Fit]) -> tuple[object, ...]:
        part, fit = pair
        ratio = part.capacitance_f / place.capacitance_f
        return (
            order.index(fit.answer),
            len(fit.against) + len(fit.unknown) + len(fit.remarks),
            max(ratio, 1 / ratio),
            part.rated_v,
            -(part.life_h or 0),
            -(part.temperature_c or 0),
            part.height_mm or 0,
            part.name,
            repr(part),
        )

    return sorted(judged, key=key)


def _answer(findings: list[Finding]) -> Fit:
    against, unknown, remarks = (
        tuple(remark for weight, remark in findings if weight is wanted)
        for wanted in (Weight.AGAINST, Weight.UNKNOWN, Weight.REMARK)
    )
    if against:
        answer = Fits.DOES_NOT_FIT
    elif unknown:
        answer = Fits.CANNOT_TELL
    else:
        answer = Fits.WITH_REMARKS if remarks else Fits.FITS
    return Fit(answer, against, unknown, remarks)
