"""From what the instrument showed to a verdict: pure, without a database."""

from decimal import Decimal
from typing import TypedDict

from shop.core.reasons import Reason, Refused
from shop.engineering.limits import verdict
from shop.testing import figures

# Simple acceptance (JCGM 106:2012, 8.2): what is compared when nobody stated an uncertainty.
_NONE_STATED = Decimal(0)


class Found(TypedDict):
    """The columns of a reading that say what was found."""

    quantity: str
    value: Decimal | None
    uncertainty: Decimal | None
    answer: bool | None
    verdict: str


def answered(name: str, value: Decimal | None, uncertainty: Decimal | None, answer: bool | None) -> Found:
    """Judge a yes or no: yes passes. Raises Refused with `reading_wants_answer` or `answer_empty`."""
    if value is not None or uncertainty is not None:
        raise Refused(Reason("reading_wants_answer", {"point": name}, "value"))
    if answer is None:
        raise Refused(Reason("answer_empty", {"point": name}, "answer"))
    return Found(quantity="", value=None, uncertainty=None, answer=answer, verdict="pass" if answer else "fail")


def measured(
    name: str,
    quantity: str,
    value: Decimal | None,
    uncertainty: Decimal | None,
    *,
    answer: bool | None = None,
    low: Decimal | None,
    high: Decimal | None,
) -> Found:
    """Judge a value against its limits, all in the quantity. Without any limit it is undecided.

    Raises Refused with `reading_wants_value`, `reading_empty`, `figure_impossible`, `figure_too_fine` or
    `uncertainty_negative`.
    """
    if answer is not None:
        raise Refused(Reason("reading_wants_value", {"point": name, "quantity": quantity}, "answer"))
    if value is None:
        raise Refused(Reason("reading_empty", {"point": name}, "value"))
    value = figures.figure(value, label="Value", field="value")
    spread = figures.uncertainty(uncertainty)
    judged = "undecided"
    if low is not None or high is not None:
        judged = str(verdict(value, _NONE_STATED if spread is None else spread, low, high))
    return Found(quantity=quantity, value=value, uncertainty=spread, answer=None, verdict=judged)
