"""Seals of the trail: rows that were cut off its end are missed."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from django.db import connection
from time_machine import Traveller

from shop.core import trail
from shop.core.actor import Actor
from shop.core.appendonly import drop_statements
from shop.core.models import TrailEntry, TrailSeal
from shop.core.seals import SETTLED, broken_seal, seal
from shop.core.tasks import seal_trail
from shop.floor.verify import problems
from shop.people.models import Customer

Write = Callable[[str], None]


@pytest.fixture
def write(ada: Customer, owner: Actor, frozen: Traveller) -> Write:
    """Append a row to Ada's trail, and let it settle."""

    def append(what: str) -> None:
        trail.write(ada, owner, what)
        frozen.shift(SETTLED)

    return append


@pytest.fixture
def behind_the_back(db: None) -> None:
    with connection.cursor() as cursor:
        for table in (TrailEntry._meta.db_table, TrailSeal._meta.db_table):
            for statement in drop_statements(connection.vendor, table):
                cursor.execute(statement)


def test_it_seals_what_has_settled_and_each_row_once(write: Write, ada: Customer, owner: Actor) -> None:
    write("customer_added")
    trail.write(ada, owner, "customer_changed")
    assert seal_trail()
    assert not seal_trail()
    assert [each.up_to for each in TrailSeal.objects.all()] == [TrailEntry.objects.get(what="customer_added").pk]
    assert broken_seal() is None


def test_an_empty_trail_needs_no_seal(frozen: Traveller, db: None) -> None:
    assert not seal()
    assert broken_seal() is None


def test_rows_cut_off_the_end_break_no_chain_but_a_seal(write: Write, behind_the_back: None) -> None:
    write("customer_added")
    seal()
    write("customer_changed")
    seal()
    assert problems() == []
    TrailEntry.objects.get(what="customer_changed").delete()
    assert trail.broken_links(TrailEntry.objects.select_related("note")) == []
    assert broken_seal() == TrailSeal.objects.last()
    assert "Rows of the trail" in problems()[0]


def test_an_edit_and_a_row_slipped_in_break_the_seal_too(
    write: Write, ada: Customer, owner: Actor, behind_the_back: None
) -> None:
    write("customer_added")
    write("customer_changed")
    seal()
    row = TrailEntry.objects.get(what="customer_added")
    TrailEntry.objects.filter(pk=row.pk).update(entry_hash="0" * 64)
    assert broken_seal() is not None
    TrailEntry.objects.filter(pk=row.pk).update(entry_hash=row.entry_hash)
    assert broken_seal() is None
    TrailEntry.objects.filter(pk=row.pk).update(id=-1)
    assert broken_seal() is not None


def test_a_row_that_is_still_settling_waits_for_the_next_seal(
    write: Write, ada: Customer, owner: Actor, frozen: Traveller
) -> None:
    trail.write(ada, owner, "customer_added")
    frozen.shift(SETTLED - timedelta(seconds=1))
    assert not seal()
    frozen.shift(1)
    assert seal()
