"""What staff see of messages, at a fixed price."""

from collections.abc import Callable
from contextlib import AbstractContextManager

import pytest
from django.db import Error, connection, transaction

from shop.boards.models import DeviceModel
from shop.core.duework import State
from shop.notices import queries, steps
from shop.notices.models import Attempt, Envelope, Event
from shop.notices.sentences import INTERRUPTED
from shop.people.models import Customer
from shop.units.models import Unit
from tests.notices.conftest import written_up

Counting = Callable[[int], AbstractContextManager[object]]


def tell_of(customer: Customer, model: DeviceModel, numbers: range) -> list[Unit]:
    units = [written_up(customer, model, number) for number in numbers]
    for unit in units:
        notice = steps.tell(event=Event.RECEIVED, unit=unit, key=str(unit.id))
        assert notice is not None
        Envelope.objects.filter(pk=notice.envelope_id).update(state=State.FAILED)
        Attempt.objects.create(envelope_id=notice.envelope_id, ok=False, words=INTERRUPTED)
    return units


@pytest.mark.parametrize("rows", [1, 12])
def test_each_read_takes_four_queries_whatever_the_number_of_rows(
    ada: Customer, lantern: DeviceModel, django_assert_num_queries: Counting, rows: int
) -> None:
    units = tell_of(ada, lantern, range(1, rows + 1))
    with django_assert_num_queries(4):
        assert len(queries.failed()) == rows
    with django_assert_num_queries(4):
        assert len(queries.recent()) == rows
    with django_assert_num_queries(4):
        assert len(queries.for_unit(units[0].id)) == 1
    with django_assert_num_queries(2):
        assert (queries.failed_count(), queries.interrupted_count()) == (rows, rows)


def test_recent_shows_the_newest_and_no_more_than_asked(ada: Customer, lantern: DeviceModel) -> None:
    units = tell_of(ada, lantern, range(1, 5))
    assert [message.unit_ids for message in queries.recent(2)] == [(units[3].id,), (units[2].id,)]


def test_a_message_says_what_it_is_about_and_notes_are_worded(ada: Customer, lantern: DeviceModel) -> None:
    tell_of(ada, lantern, range(7, 8))
    (message,) = queries.failed()
    assert message.about == ("0007, Quillon Lantern: received",)
    assert message.tries[0].words.startswith("The worker was stopped")


@pytest.mark.parametrize("statement", ["UPDATE notices_attempt SET ok = NOT ok", "DELETE FROM notices_attempt"])
def test_attempts_only_grow(ada: Customer, lantern: DeviceModel, statement: str) -> None:
    tell_of(ada, lantern, range(1, 2))
    with pytest.raises(Error, match="only grows"), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement)
    assert Attempt.objects.count() == 1
