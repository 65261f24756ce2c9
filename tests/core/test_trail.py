"""The trail: chained, honest about edits, and erasable where it holds a person's words."""

from datetime import UTC, datetime, timedelta, timezone

import pytest
from django.db import IntegrityError, connection, transaction

from shop.core import trail
from shop.core.actor import Actor
from shop.core.appendonly import drop_statements
from shop.core.locks import lock
from shop.core.models import PersonalText, TrailEntry
from shop.people.models import Customer
from tests.core.together import together

TABLE = TrailEntry._meta.db_table


def _entries(customer: Customer) -> list[TrailEntry]:
    return list(TrailEntry.objects.filter(subject_id=customer.id).select_related("note").order_by("seq"))


@pytest.fixture
def history(ada: Customer, owner: Actor) -> Customer:
    """Ada with three rows of history, the second with words."""
    trail.write(ada, owner, "customer_added", facts={"channel": "email"})
    trail.write(ada, owner, "customer_changed", note="Rings only after six.")
    trail.write(ada, owner, "moved", before="here", after="there")
    return ada


@pytest.fixture
def behind_the_back(db: None) -> None:
    """Take the triggers off, as somebody with the database in hand could."""
    with connection.cursor() as cursor:
        for statement in drop_statements(connection.vendor, TABLE):
            cursor.execute(statement)


def test_it_numbers_and_chains_the_rows_of_a_subject(history: Customer) -> None:
    first, second, third = _entries(history)
    assert [first.seq, second.seq, third.seq] == [1, 2, 3]
    assert [first.previous_hash, second.previous_hash] == ["", first.entry_hash]
    assert trail.broken_links(_entries(history)) == []


def test_it_keeps_a_chain_for_each_subject(history: Customer, bao: Customer, owner: Actor) -> None:
    assert trail.write(bao, owner, "customer_added").seq == 1


def test_it_says_who_did_what_when_and_where(ada: Customer, technician: Actor, frozen: object) -> None:
    entry = trail.write(ada, technician, "moved", before="a", after="b", facts={"count": 2})
    entry.refresh_from_db()
    assert (entry.actor_role, entry.actor_id, entry.device) == ("technician", technician.id, "test")
    assert (entry.what, entry.before, entry.after, entry.facts) == ("moved", "a", "b", '{"count": 2}')
    assert entry.happened_at == entry.recorded_at == datetime(2026, 3, 10, 9, 0, tzinfo=UTC)


def test_it_keeps_the_chain_of_a_scan_made_offline_in_another_zone(ada: Customer, owner: Actor) -> None:
    scanned_at = datetime(2026, 3, 10, 8, 30, tzinfo=timezone(timedelta(hours=7)))
    trail.write(ada, owner, "scanned", happened_at=scanned_at)
    (entry,) = _entries(ada)
    assert entry.happened_at == scanned_at
    assert trail.broken_links([entry]) == []


@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("subject_kind", "unit"),
        ("happened_at", "2020-01-01 00:00:00+00:00"),
        ("recorded_at", "2020-01-01 00:00:00+00:00"),
        ("actor_role", "owner2"),
        ("actor_id", "somebody-else"),
        ("device", "another"),
        ("client_key", "another"),
        ("what", "collected"),
        ("before", "another"),
        ("after", "another"),
        ("facts", '{"channel": "none"}'),
        ("seq", 9),
        ("note_id", None),
        ("note_hash", "0" * 64),
        ("previous_hash", "0" * 64),
        ("entry_hash", "0" * 64),
    ],
)
def test_it_finds_an_edit_of_any_column(
    history: Customer, behind_the_back: None, column: str, value: str | int | None
) -> None:
    with connection.cursor() as cursor:
        cursor.execute(f"UPDATE {TABLE} SET {column} = %s WHERE seq = 2", [value])
    assert trail.broken_links(_entries(history)) != []


def test_it_finds_a_row_that_was_edited_and_hashed_again(history: Customer, behind_the_back: None) -> None:
    forged = _entries(history)[1]
    forged.what = "collected"
    with connection.cursor() as cursor:
        cursor.execute(f"UPDATE {TABLE} SET what = 'collected', entry_hash = %s WHERE seq = 2", [trail.digest(forged)])
    assert trail.broken_links(_entries(history)) == [3]


def test_it_finds_a_row_that_was_taken_out(history: Customer, behind_the_back: None) -> None:
    with connection.cursor() as cursor:
        cursor.execute(f"DELETE FROM {TABLE} WHERE seq = 2")
    assert trail.broken_links(_entries(history)) == [3]


def test_it_finds_words_that_were_changed(history: Customer) -> None:
    PersonalText.objects.update(text="Rings at any time.")
    assert trail.broken_links(_entries(history)) == [2]


def test_it_erases_words_and_salt_and_keeps_the_chain(history: Customer, frozen: object) -> None:
    second = _entries(history)[1]
    trail.erase_words(second)
    words = PersonalText.objects.get(pk=second.note_id)
    assert (words.text, words.salt, words.erased_at) == ("", "", datetime(2026, 3, 10, 9, 0, tzinfo=UTC))
    assert trail.broken_links(_entries(history)) == []


def test_it_erases_once_and_leaves_rows_without_words_alone(history: Customer) -> None:
    first, second, _third = _entries(history)
    trail.erase_words(second)
    erased_at = PersonalText.objects.get(pk=second.note_id).erased_at
    trail.erase_words(second)
    trail.erase_words(first)
    assert PersonalText.objects.get(pk=second.note_id).erased_at == erased_at


def test_it_lets_nobody_take_a_number_twice(history: Customer) -> None:
    again = _entries(history)[2]
    again.pk = None
    with pytest.raises(IntegrityError), transaction.atomic():
        again.save(force_insert=True)


@pytest.mark.django_db(transaction=True)
def test_it_gives_writers_at_the_same_moment_one_number_each(ada: Customer, owner: Actor) -> None:
    def act() -> int:
        with transaction.atomic():
            return trail.write(lock(Customer, pk=ada.pk), owner, "moved").seq

    assert sorted(map(str, together(8, act))) == sorted(map(str, range(1, 9)))
    assert trail.broken_links(_entries(ada)) == []
