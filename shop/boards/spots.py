"""What a board and its case are made of, as plain data: placements and fasteners. Pure.

Lengths are millimetres. A board's origin is its lower left corner seen from the top side, x to the right, y up, as
placement files have it. A case outline has its origin in the lower left corner too.
"""

from dataclasses import dataclass
from enum import StrEnum


class Kind(StrEnum):
    """What sort of component it is; services choose placements by it."""

    ELECTROLYTIC = "electrolytic"
    TANTALUM = "tantalum"
    CERAMIC = "ceramic"
    FILM = "film"
    CAPACITOR = "capacitor"
    RESISTOR = "resistor"
    DIODE = "diode"
    TRANSISTOR = "transistor"
    REGULATOR = "regulator"
    IC = "ic"
    INDUCTOR = "inductor"
    CRYSTAL = "crystal"
    FUSE = "fuse"
    BATTERY = "battery"
    CONNECTOR = "connector"
    SWITCH = "switch"
    OTHER = "other"


class Mount(StrEnum):
    """How it is soldered."""

    THROUGH = "through"
    SURFACE = "surface"


class Side(StrEnum):
    """Which side of the board it is on."""

    TOP = "top"
    BOTTOM = "bottom"


class Fit(StrEnum):
    """Whether the position is fitted, left empty by the maker, or fitted on some variants only."""

    FITTED = "fitted"
    EMPTY = "empty"
    VARIANT = "variant"


class Points(StrEnum):
    """Where the positive lead points, as its own side's picture shows it: that side up, the lower edge near you."""

    UNKNOWN = ""
    LEFT = "left"
    RIGHT = "right"
    UP = "up"
    DOWN = "down"


POLARISED = frozenset({Kind.ELECTROLYTIC, Kind.TANTALUM, Kind.DIODE, Kind.BATTERY})


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A placement: what sits where on the board. None means that it is not known.

    value and rating are as they are printed or typed (`100 µF`, `25 V`); positive_checked is false when where the
    positive lead points was reckoned from a rotation and nobody has looked at the board. variants are the variants it
    is fitted on when fit is VARIANT.
    """

    designator: str
    value: str = ""
    rating: str = ""
    kind: Kind = Kind.OTHER
    mount: Mount = Mount.THROUGH
    package: str = ""
    x_mm: float | None = None
    y_mm: float | None = None
    width_mm: float | None = None
    depth_mm: float | None = None
    height_mm: float | None = None
    rotation_deg: float = 0.0
    positive: Points = Points.UNKNOWN
    positive_checked: bool = True
    side: Side = Side.TOP
    fit: Fit = Fit.FITTED
    variants: tuple[str, ...] = ()
    note: str = ""

    @property
    def polarised(self) -> bool:
        """Tell whether it matters which way round it goes."""
        return self.kind in POLARISED

    @property
    def placed(self) -> bool:
        """Tell whether its place on the board is known."""
        return self.x_mm is not None and self.y_mm is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class Screw:
    """A group of fasteners of one kind that belong together: its label is its compartment on the mat and in the bag.

    places_mm are (x, y) on the case outline, as many as are known, count at most; order is when it comes out, from 1;
    warning says what a wrong one would damage.
    """

    label: str
    where: str
    drive: str = ""
    bit: str = ""
    thread: str = ""
    length_mm: float | None = None
    count: int = 1
    order: int = 1
    places_mm: tuple[tuple[float, float], ...] = ()
    warning: str = ""

    @property
    def says(self) -> str:
        """Return drive, bit, thread and length in one line, what is known of them."""
        length = f"{self.length_mm:g} mm" if self.length_mm is not None else ""
        size = " × ".join(part for part in (self.thread, length) if part)
        return ", ".join(part for part in (self.drive, self.bit, size) if part)
