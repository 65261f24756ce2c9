"""Tolerance letters (IEC 60062) and what they stand for.

Read: F G J K M Z at dummies.com (electronics-capacitor-tolerance-code); Q T V in Samwha's part-number system. The rest
is from memory. Makers and lists disagree on E, H, L, P and W (second readings: electro-tech-online.com thread 485, page
2, and w9jz.org 2016/03 for E and P), so these are answered with every reading.
"""

from dataclasses import dataclass

from shop.engineering.inputs import BadInput, Remark, in_range, positive

# Up to here B, C, D, F and G are picofarads to either side; above, percent.
SMALL_F = 10e-12


@dataclass(frozen=True, slots=True)
class Tolerance:
    """How far a value may be off: percent below and above, or for very small capacitors farads to either side."""

    below_percent: float = 0.0
    above_percent: float = 0.0
    farads: float | None = None
    from_memory: bool = False

    def limits(self, value: float) -> tuple[float, float]:
        """Return the least (never below zero) and the greatest value allowed, in the unit of the value, 0 to 1e15.

        Raises BadInput: not_finite, out_of_range.
        """
        in_range("value", value, "", 0, 1e15)
        if self.farads is not None:
            return max(0.0, value - self.farads), value + self.farads
        return value * (1 - self.below_percent / 100), value * (1 + self.above_percent / 100)


def _read(below: float, above: float | None = None) -> Tolerance:
    return Tolerance(below, below if above is None else above)


def _memory(below: float, above: float | None = None) -> Tolerance:
    return Tolerance(below, below if above is None else above, from_memory=True)


def _small(farads: float) -> Tolerance:
    return Tolerance(farads=farads, from_memory=True)


# fmt: off
# More than one: makers and lists disagree; the first is IEC 60062's, from memory.
_LETTERS: dict[str, tuple[Tolerance, ...]] = {
    "F": (_read(1),), "G": (_read(2),), "J": (_read(5),), "K": (_read(10),), "M": (_read(20),), "Z": (_read(20, 80),),
    "Q": (_read(10, 30),), "T": (_read(10, 50),), "V": (_read(10, 20),),
    "B": (_memory(0.1),), "C": (_memory(0.25),), "D": (_memory(0.5),), "N": (_memory(30),), "S": (_memory(20, 50),),
    "E": (_memory(0.005), _read(0.25), _read(0.5)), "H": (_memory(3), _read(2.5)), "L": (_memory(0.01), _read(15)),
    "P": (_memory(0.02), _read(0, 100)), "W": (_memory(0.05), _read(0, 200)),
}
# fmt: on
_SMALL = {"B": _small(0.1e-12), "C": _small(0.25e-12), "D": _small(0.5e-12), "F": _small(1e-12), "G": _small(2e-12)}
LETTERS = "".join(_LETTERS)


def tolerance_readings(letter: str, capacitance_f: float | None = None) -> tuple[Tolerance, ...]:
    """Return what a tolerance letter may stand for; more than one where makers disagree, none for an unknown letter.

    capacitance_f, when it is 10 pF or less, makes B, C, D, F and G a number of picofarads (from memory). Raises
    BadInput for a capacitance that is not above zero: not_finite, out_of_range. Source: IEC 60062; see the module.
    """
    typed = letter.strip().upper()
    if capacitance_f is not None and positive("capacitance_f", capacitance_f, "F") <= SMALL_F and typed in _SMALL:
        return (_SMALL[typed],)
    return _LETTERS.get(typed, ())


def tolerance_of(letter: str, capacitance_f: float | None = None) -> Tolerance:
    """Return the one thing that a letter stands for.

    Raises BadInput: `unreadable` for an unknown letter, `ambiguous` with the `readings` where makers disagree.
    Otherwise like `tolerance_readings`.
    """
    found = tolerance_readings(letter, capacitance_f)
    if not found:
        raise BadInput("unreadable", "letter", given=letter, like=("F", "G", "J", "K", "M", "Z"))
    if len(found) > 1:
        raise BadInput("ambiguous", "letter", given=letter, readings=found)
    return found[0]


def settled(readings: tuple[Tolerance, ...]) -> tuple[Tolerance | None, tuple[Remark, ...]]:
    """Return the tolerance when there is one reading; none, and the remark `tolerance_disputed`, when there are more.

    A value must not be withheld because its tolerance letter is disputed.
    """
    if len(readings) > 1:
        return None, (Remark("tolerance_disputed", {"readings": readings}),)
    return (readings[0] if readings else None), ()
