"""The demo's boards against published sizes: surface-mount cans by nichicon's CD series, and designators by class.

Radial cans are held against the diameters that have a lead pitch in makers' sheets, from memory (`smd_cans.py`).
"""

import csv
from pathlib import Path

import pytest

from shop.boards.designators import kinds_of
from shop.boards.placement_table import read_placements
from shop.boards.spots import Kind, Mount, Spot
from shop.engineering.smd_cans import radial_pitch_mm
from shop.floor.demo import boards

TABLES = (boards.LANTERN, boards.FIREFLY, boards.VESPER)
CD_SERIES = Path(__file__).parent / "data" / "smd_can_sizes.csv"
SNAP_IN_MM = 22  # the mains capacitor of the Vesper: its terminals are no wire leads


def spots() -> list[Spot]:
    return [spot for table in TABLES for spot in read_placements(boards.HEAD + table).spots]


def test_its_surface_mount_cans_have_bases_of_the_published_table() -> None:
    with CD_SERIES.open(encoding="utf-8", newline="") as file:
        bases = {(float(row["B_mm"]), float(row["C_mm"]), float(row["L_mm"])) for row in csv.DictReader(file)}
    cans = [spot for spot in spots() if spot.mount is Mount.SURFACE and spot.kind is Kind.ELECTROLYTIC]
    assert len(cans) == 5
    assert {(can.width_mm, can.depth_mm, can.height_mm) for can in cans} <= bases


def test_its_radial_cans_have_diameters_with_a_lead_pitch() -> None:
    radial = [spot for spot in spots() if spot.mount is Mount.THROUGH and spot.kind is Kind.ELECTROLYTIC]
    assert len(radial) == 26
    for can in radial:
        assert can.width_mm == can.depth_mm
        if can.width_mm != SNAP_IN_MM:
            assert radial_pitch_mm(can.width_mm or 0) > 0


@pytest.mark.parametrize("spot", spots(), ids=lambda spot: spot.designator)
def test_its_designators_are_of_their_class(spot: Spot) -> None:
    assert spot.kind in kinds_of(spot.designator)
