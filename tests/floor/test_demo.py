"""The demo's floor, and whether everything on it adds up."""

import pytest
from django.core.management import call_command
from django.db import connection

from shop.core.appendonly import drop_statements
from shop.core.models import TrailEntry
from shop.floor.demo.floorful import stock_the_floor
from shop.floor.demo.stock_in_trade import House
from shop.floor.scans import found_unit
from shop.floor.story import headline, spoken, stops_of, trace_of
from shop.floor.verify import problems
from shop.people.models import Place
from shop.units import queries
from shop.units.models import Unit


@pytest.fixture
def floor(house: House) -> House:
    stock_the_floor(house)
    return house


def test_there_is_a_unit_at_every_turn_and_everything_adds_up(floor: House) -> None:
    stages = set(Unit.objects.filter(outcome="").values_list("stage", flat=True))
    assert stages == {"intake", "queue", "bench", "testing", "pickup"}
    assert Unit.objects.exclude(outcome="").exists()
    assert problems() == []
    for unit in queries.present_units():
        assert headline(unit)
        drawing = trace_of(unit, queries.history(unit))
        assert spoken(drawing, "America/New_York", "en-US").endswith(".")
        assert len(drawing.marks) == len(stops_of(queries.history(unit)))


def test_a_change_behind_the_applications_back_is_found(floor: House, capsys: pytest.CaptureFixture[str]) -> None:
    table = TrailEntry._meta.db_table
    entry = TrailEntry.objects.filter(subject_kind="unit").first()
    assert entry is not None
    with connection.cursor() as cursor:
        for statement in drop_statements(connection.vendor, table):
            cursor.execute(statement)
        cursor.execute(f"UPDATE {table} SET after = 'pickup' WHERE id = %s", [entry.id])
    with pytest.raises(SystemExit) as ended:
        call_command("verify")
    assert ended.value.code == 1
    assert f"entry {entry.seq}" in capsys.readouterr().out


def test_a_bag_scanned_at_a_bench_offers_at_most_two_moves(floor: House) -> None:
    bench = Place.objects.get(name="Bench 1")
    for unit in queries.present_units():
        found = found_unit(actor=floor.technician, unit=unit, bag=queries.tag_of(unit), bench=bench)
        assert len(found.offers) <= 2
        if unit.stage == "queue" and not unit.open_holds:  # type: ignore[attr-defined]
            assert found.offers
