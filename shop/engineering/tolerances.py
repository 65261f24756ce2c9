"""Tolerance letters (IEC 60062) and what they stand for.

The letters for more than 10 pF were read (F G J K M Z); the rest is from memory, and of E, H, L, Q and T makers and
lists disagree, so these are answered with every reading.
"""

from dataclasses import dataclass

from shop.engineering.inputs import BadInput

SMALL_F = 10e-12


@dataclass(frozen=True, slots=True)
class Tolerance:
    """How far a value may be off: percent below and above, or for very small capacitors farads to either side."""

    below_percent: float = 0.0
    above_percent: float = 0.0
    farads: float | None = None
    from_memory: bool = False

    def limits(self, value: float) -> tuple[float, float]:
        """Return the least and the greatest value allowed, in the unit of the value."""
        if self.farads is not None:
            return value - self.farads, value + self.farads
        return value * (1 - self.below_percent / 100), value * (1 + self.above_percent / 100)


def _percent(either: float, *, memory: bool = False) -> Tolerance:
    return Tolerance(either, either, from_memory=memory)


def _lopsided(below: float, above: float, *, memory: bool = True) -> Tolerance:
    return Tolerance(below, above, from_memory=memory)


def _small(farads: float) -> Tolerance:
    return Tolerance(farads=farads, from_memory=True)


# More than one: makers and lists disagree.
_LETTERS: dict[str, tuple[Tolerance, ...]] = {
    "F": (_percent(1),), "G": (_percent(2),), "J": (_percent(5),), "K": (_percent(10),), "M": (_percent(20),),
    "Z": (_lopsided(20, 80, memory=False),), "B": (_percent(0.1, memory=True),), "C": (_percent(0.25, memory=True),),
    "D": (_percent(0.5, memory=True),), "W": (_percent(0.05, memory=True),), "P": (_percent(0.02, memory=True),),
    "E": (_percent(0.005, memory=True), _percent(25, memory=True)),
    "L": (_percent(0.01, memory=True), _percent(15, memory=True)),
    "H": (_percent(3, memory=True), _percent(2.5, memory=True)), "N": (_percent(30, memory=True),),
    "Q": (_lopsided(10, 30),), "S": (_lopsided(20, 50),), "T": (_lopsided(10, 50),),
    "V": (_lopsided(10, 20, memory=False),),
}  # fmt: skip
_SMALL = {"B": _small(0.1e-12), "C": _small(0.25e-12), "D": _small(0.5e-12), "F": _small(1e-12), "G": _small(2e-12)}


def tolerance_readings(letter: str, capacitance_f: float | None = None) -> tuple[Tolerance, ...]:
    """Return what a tolerance letter may stand for; more than one where makers disagree, none for an unknown letter.

    capacitance_f, when it is 10 pF or less, makes B, C, D, F and G a number of picofarads. Source: IEC 60062.
    """
    if capacitance_f is not None and capacitance_f <= SMALL_F and letter in _SMALL:
        return (_SMALL[letter],)
    return _LETTERS.get(letter, ())


def tolerance_of(letter: str, capacitance_f: float | None = None) -> Tolerance:
    """Return the one thing that a letter stands for.

    Raises BadInput: `unreadable` for an unknown letter, `ambiguous` with the `readings` where makers disagree.
    """
    found = tolerance_readings(letter, capacitance_f)
    if not found:
        raise BadInput("unreadable", "tolerance", given=letter, like=("F", "G", "J", "K", "M", "Z"))
    if len(found) > 1:
        raise BadInput("ambiguous", "tolerance", given=letter, readings=found)
    return found[0]
