"""The working order of the trade for the work inside: what the agreed services ask for on this board. Pure.

The orders are common practice at a repair bench. Through-hole parts: trim long legs, refresh the old joints with new
solder, remove, clear the holes, clean; fit the lowest first, hold for the polarity, solder, trim. What is added comes
before the heat sink goes back, and no leg is cut twice. A part on a heat sink is screwed to it first, so that it sits
right, then the heat sink goes to the board, and only then is it soldered. Leaked surface-mount cans are neutralised
and washed before any heat; no fresh solder goes on such a joint unseen.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from shop.boards.spots import Kind, Mount, Spot
from shop.work.outline import SERVICE, Task

SAVE_DATA = "save_data"
SHIELD = "shield"
NEUTRALISE = "neutralise"
WASH = "wash"
TRIM_LEGS = "trim_legs"
REFRESH = "refresh"
HEATSINK_OFF = "heatsink_off"
REMOVE = "remove"
CLEAR_HOLES = "clear_holes"
CLEAN_PADS = "clean_pads"
REPAIR = "repair"
FIT = "fit"
POLARITY = "polarity"
SOLDER = "solder"
TRIM = "trim"
CUT_LEG = "cut_leg"
WIRE = "wire"
HEATSINK_FIX = "heatsink_fix"
HEATSINK_ON = "heatsink_on"

CODES = (
    SAVE_DATA, SHIELD, NEUTRALISE, WASH, TRIM_LEGS, REFRESH, HEATSINK_OFF, REMOVE, CLEAR_HOLES, CLEAN_PADS, REPAIR,
    FIT, POLARITY, SOLDER, TRIM, CUT_LEG, WIRE, HEATSINK_FIX, HEATSINK_ON,
)  # fmt: skip

FITTING = (FIT, HEATSINK_FIX)
SINGLY, DOZEN = 60, 12  # up to so many parts are fitted one by one; beyond that so many like ones together

# How high a part stands when its height is not known, in millimetres: common practice, to order them by.
_TYPICAL_MM = {
    Kind.RESISTOR: 2.5, Kind.DIODE: 2.8, Kind.CERAMIC: 5.0, Kind.CRYSTAL: 4.0, Kind.IC: 4.5, Kind.INDUCTOR: 6.0,
    Kind.TRANSISTOR: 6.0, Kind.FUSE: 7.0, Kind.TANTALUM: 7.5, Kind.FILM: 9.0, Kind.CAPACITOR: 9.0,
    Kind.ELECTROLYTIC: 11.0, Kind.BATTERY: 12.0, Kind.SWITCH: 12.0, Kind.CONNECTOR: 14.0, Kind.REGULATOR: 20.0,
    Kind.OTHER: 15.0,
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One agreed service on this board. nature is a value of `Service.Nature`; words are its own steps in order.

    spots are the placements it replaces; cuts are designators whose leg it shortens; wires are written out.
    """

    service_id: str
    nature: str = "other"
    words: tuple[str, ...] = ()
    spots: tuple[Spot, ...] = ()
    cuts: tuple[str, ...] = ()
    wires: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Circumstances:
    """What else decides the order: whether cans have leaked, whether the bench has a desoldering station."""

    leaking: bool = False
    desoldering_station: bool = True


def tasks_of(jobs: Sequence[Job], *, repairs: Sequence[Task] = (), given: Circumstances | None = None) -> list[Task]:
    """Return the work inside in working order; repairs are mended once the old parts are out, before the new go in."""
    given = given or Circumstances()
    on_sink = _spots(job for job in jobs if job.nature == "regulator")
    plain = [spot for spot in _spots(jobs) if spot.designator not in refs(on_sink)]
    return [
        *([Task(SAVE_DATA)] if any(job.nature == "battery" for job in jobs) else []),
        *_take_out([*plain, *on_sink], on_sink, given),
        *repairs,
        *_own_words(jobs, "replace"),
        *_put_in(plain, jobs),
        *_add(jobs, frozenset(refs([*plain, *on_sink]))),
        *_own_words(jobs, "battery"),
        *_own_words(jobs, "other"),
        *_on_heat_sink(on_sink, jobs),
        *_own_words(jobs, "regulator"),
    ]


def refs(spots: Iterable[Spot]) -> tuple[str, ...]:
    """Return the designators of placements."""
    return tuple(spot.designator for spot in spots)


def lowest_first(spots: Iterable[Spot]) -> list[Spot]:
    """Return placements in the order of fitting: the lowest first, so that each lies flat while it is soldered."""
    return sorted(spots, key=lambda spot: _TYPICAL_MM[spot.kind] if spot.height_mm is None else spot.height_mm)


def _spots(jobs: Iterable[Job]) -> list[Spot]:
    """Return the placements of all jobs, each once even when two services mean it."""
    found = {spot.designator: spot for job in jobs for spot in job.spots}
    return list(found.values())


def _about(code: str, spots: Iterable[Spot], how: str = "") -> list[Task]:
    about = refs(spots)
    return [Task(code, refs=about, how=how)] if about else []


def _take_out(spots: list[Spot], on_sink: list[Spot], given: Circumstances) -> list[Task]:
    through = [spot for spot in spots if spot.mount == Mount.THROUGH]
    surface = [spot for spot in spots if spot.mount == Mount.SURFACE]
    leaked = [spot for spot in surface if given.leaking and spot.kind == Kind.ELECTROLYTIC]
    sound = [spot for spot in surface if spot not in leaked]
    station = "station" if given.desoldering_station else "flood"
    return [
        *_about(SHIELD, surface),
        *_about(NEUTRALISE, leaked),
        *_about(WASH, leaked),
        *_about(HEATSINK_OFF, on_sink),
        *_about(TRIM_LEGS, through),
        *_about(REFRESH, [*through, *sound]),
        *_about(REMOVE, leaked, "leaked"),
        *_about(REMOVE, sound, "surface"),
        *_about(REMOVE, through, station),
        *_about(CLEAR_HOLES, through),
        *_about(CLEAN_PADS, spots),
    ]


def _put_in(spots: list[Spot], jobs: Sequence[Job]) -> list[Task]:
    owner = _owners(jobs)
    return [
        *_fits(lowest_first(spots), owner),
        *_about(POLARITY, [spot for spot in spots if spot.polarised]),
        *_about(SOLDER, spots),
        *_about(TRIM, [spot for spot in spots if spot.mount == Mount.THROUGH]),
    ]


def _fits(spots: list[Spot], owner: Mapping[str, str]) -> list[Task]:
    """Return one step for each part; on a board with very many, like parts go in together, a dozen at a time."""
    if len(spots) <= SINGLY:
        return [Task(FIT, owner[spot.designator], refs=(spot.designator,)) for spot in spots]
    alike: dict[tuple[object, ...], list[str]] = {}
    for spot in spots:
        same: tuple[object, ...] = (spot.value, spot.rating, spot.kind, spot.positive, spot.positive_checked)
        same = (*same, spot.side, spot.note, spot.fit, spot.variants)
        alike.setdefault((owner[spot.designator], *same, spot.height_mm), []).append(spot.designator)
    return [
        Task(FIT, str(key[0]), refs=tuple(found[start : start + DOZEN]))
        for key, found in alike.items()
        for start in range(0, len(found), DOZEN)
    ]


def _add(jobs: Sequence[Job], trimmed: frozenset[str]) -> list[Task]:
    """Return the modifications; a leg that is trimmed with the new part, or was cut already, is not cut again."""
    tasks: list[Task] = []
    cut = set(trimmed)
    for job in jobs:
        if job.nature == "modification":
            cuts = tuple(dict.fromkeys(designator for designator in job.cuts if designator not in cut))
            cut.update(cuts)
            tasks += [Task(CUT_LEG, job.service_id, refs=cuts)] if cuts else []
            tasks += [Task(SERVICE, job.service_id, words) for words in job.words]
            tasks += [Task(WIRE, job.service_id, words) for words in job.wires]
    return tasks


def _on_heat_sink(spots: list[Spot], jobs: Sequence[Job]) -> list[Task]:
    owner = _owners(jobs)
    return [
        *(Task(HEATSINK_FIX, owner[spot.designator], refs=(spot.designator,)) for spot in spots),
        *_about(HEATSINK_ON, spots),
        *_about(POLARITY, [spot for spot in spots if spot.polarised]),
        *_about(SOLDER, spots),
        *_about(TRIM, [spot for spot in spots if spot.mount == Mount.THROUGH]),
    ]


def _own_words(jobs: Sequence[Job], nature: str) -> list[Task]:
    """Return a service's own steps; where placements are known, the order of the trade says the same in more detail."""
    found = [job for job in jobs if job.nature == nature and not job.spots]
    return [Task(SERVICE, job.service_id, words) for job in found for words in job.words]


def _owners(jobs: Sequence[Job]) -> dict[str, str]:
    """Return designator → the service that it is replaced for, the first where two mean it."""
    return {spot.designator: job.service_id for job in reversed(jobs) for spot in job.spots}
