"""What a reckoning asks and what it answers, as data that pages, the API and the command show alike."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from django.utils.functional import Promise

Words = Promise | str
Given = Mapping[str, Any]


class Kind(StrEnum):
    """How a figure is typed."""

    NUMBER = "number"
    CHOICE = "choice"
    TEXT = "text"
    YES = "yes"


@dataclass(frozen=True, slots=True)
class Asked:
    """One figure that is asked for.

    A number is typed in unit; scale times that is what the arithmetic takes (µF: 1e-6). arg is what the arithmetic
    calls it, when that differs. An optional one may be left empty and is None then.
    """

    name: str
    label: Words
    unit: str = ""
    scale: float = 1.0
    default: str = ""
    hint: Words = ""
    kind: Kind = Kind.NUMBER
    choices: tuple[tuple[str, Words], ...] = ()
    optional: bool = False
    arg: str = ""

    @property
    def key(self) -> str:
        """Return the arithmetic's name for it."""
        return self.arg or self.name


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure of an answer: what it is, its value in an SI unit (a number or words), and that unit."""

    name: str
    label: Words
    value: float | str
    unit: Words = ""


@dataclass(frozen=True, slots=True)
class Curve:
    """A curve where one says more than a figure: points, what the axes are, and the point that was asked for."""

    across: Words
    up: Words
    points: tuple[tuple[float, float], ...]
    here: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Answer:
    """What a reckoning says: a sentence first, then the figures, the formula with the numbers put in, and the rest.

    remarks qualify the answer, cautions stand where work can hurt.
    """

    sentence: str
    figures: tuple[Figure, ...] = ()
    working: str = ""
    remarks: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    curve: Curve | None = None


@dataclass(frozen=True, slots=True)
class Reckoning:
    """One calculation: what programs call it, its title, what it asks, its source, and what works it out."""

    name: str
    title: Words
    asks: tuple[Asked, ...]
    source: str
    work: Callable[[Given], Answer]

    def asked(self, name: str) -> Asked | None:
        """Return what is asked under a name, by the form's or the arithmetic's, or None."""
        return next((each for each in self.asks if name in (each.name, each.key)), None)


@dataclass(frozen=True, slots=True)
class Chapter:
    """Reckonings of one kind."""

    name: str
    title: Words
    reckonings: tuple[Reckoning, ...]
