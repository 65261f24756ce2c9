"""What a place on a board needs of a capacitor and what a part has, for `fit`; None means that nobody knows."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from shop.engineering.inputs import BadInput, Remark, in_range


class Technology(StrEnum):
    """What a capacitor is made of. Ceramic of class 1 is C0G and its like, of class 2 X7R, Y5V and their like."""

    ELECTROLYTIC = "electrolytic"
    POLYMER = "polymer"
    TANTALUM = "tantalum"
    CERAMIC_1 = "ceramic_1"
    CERAMIC_2 = "ceramic_2"
    FILM = "film"


class Role(StrEnum):
    """What a capacitor does where it stands."""

    SUPPLY = "supply"
    DECOUPLING = "decoupling"
    REGULATOR_OUTPUT = "regulator_output"
    COUPLING = "coupling"
    TIMING = "timing"
    MAINS = "mains"
    UNKNOWN = "unknown"


class Mounting(StrEnum):
    """How a part is fixed."""

    RADIAL = "radial"
    AXIAL = "axial"
    SMD = "smd"


@dataclass(frozen=True, slots=True)
class Place:
    """What a placement needs. Sizes in millimetres; ripple_a at its frequency; polarity as it stands in the circuit.

    tolerance_percent is how far the capacitance may be off for the circuit's sake; polarised tells whether the place
    has a plus that is always plus (False: the voltage turns over, so a bipolar part stood there).
    """

    capacitance_f: float
    rated_v: float
    working_v: float | None = None
    tolerance_percent: float | None = None
    technology: Technology = Technology.ELECTROLYTIC
    role: Role = Role.UNKNOWN
    polarised: bool = True
    temperature_c: float | None = None
    mounting: Mounting | None = None
    diameter_mm: float | None = None
    clearance_mm: float | None = None
    pitch_mm: float | None = None
    esr_low_ohm: float | None = None
    esr_high_ohm: float | None = None
    ripple_a: float | None = None


@dataclass(frozen=True, slots=True)
class Candidate:
    """What a part has; life_h is its rated life at its temperature, mains_class its X or Y class when certified."""

    name: str
    capacitance_f: float
    rated_v: float
    tolerance_percent: float | None = None
    technology: Technology = Technology.ELECTROLYTIC
    bipolar: bool = False
    temperature_c: float | None = None
    mounting: Mounting | None = None
    diameter_mm: float | None = None
    height_mm: float | None = None
    pitch_mm: float | None = None
    esr_ohm: float | None = None
    ripple_a: float | None = None
    life_h: float | None = None
    mains_class: str = ""


class Weight(StrEnum):
    """What a finding does to the answer."""

    AGAINST = "against"
    UNKNOWN = "unknown"
    REMARK = "remark"


Finding = tuple[Weight, Remark]


def check_place(place: Place) -> None:
    """Refuse a place whose figures cannot be. Raises BadInput."""
    _common(place.capacitance_f, place.rated_v)
    if place.working_v is not None:
        in_range("working_v", place.working_v, "V", 0, 10_000)
    _within(
        place,
        (("tolerance_percent", "%", 100), ("temperature_c", "°C", 200), ("diameter_mm", "mm", 200),
         ("clearance_mm", "mm", 200), ("pitch_mm", "mm", 200), ("esr_low_ohm", "Ω", 1e6), ("esr_high_ohm", "Ω", 1e6),
         ("ripple_a", "A", 100)),
    )  # fmt: skip
    if place.esr_low_ohm is not None and place.esr_high_ohm is not None and place.esr_low_ohm > place.esr_high_ohm:
        facts = {"value": place.esr_low_ohm, "low": 0, "high": place.esr_high_ohm, "unit": "Ω"}
        raise BadInput("out_of_range", "esr_low_ohm", **facts)


def check_part(part: Candidate) -> None:
    """Refuse a part whose figures cannot be. Raises BadInput."""
    _common(part.capacitance_f, part.rated_v)
    _within(
        part,
        (("tolerance_percent", "%", 100), ("temperature_c", "°C", 200), ("diameter_mm", "mm", 200),
         ("height_mm", "mm", 200), ("pitch_mm", "mm", 200), ("esr_ohm", "Ω", 1e6), ("ripple_a", "A", 100),
         ("life_h", "h", 1e6)),
    )  # fmt: skip


def _common(capacitance_f: float, rated_v: float) -> None:
    in_range("capacitance_f", capacitance_f, "F", 1e-13, 10)
    in_range("rated_v", rated_v, "V", 0.5, 10_000)


def _within(row: object, limits: Iterable[tuple[str, str, float]]) -> None:
    """Check the optional figures that are there: above zero, and not above what any real part has."""
    for name, unit, high in limits:
        value = getattr(row, name)
        if value is not None:
            in_range(name, value, unit, 0, high, low_open=True)
