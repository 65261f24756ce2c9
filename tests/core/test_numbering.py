"""Numbers without gaps."""

import pytest
from django.db import transaction

from shop.core.numbering import next_number
from tests.core.together import together


@pytest.mark.django_db
def test_it_counts_each_series_from_one() -> None:
    assert [next_number("invoice"), next_number("invoice"), next_number("unit")] == [1, 2, 1]


@pytest.mark.django_db
def test_a_number_comes_back_when_what_it_was_for_fails() -> None:
    with transaction.atomic():
        next_number("invoice")
        transaction.set_rollback(True)
    assert next_number("invoice") == 1


@pytest.mark.django_db(transaction=True)
def test_many_at_once_get_one_number_each_without_a_gap() -> None:
    def act() -> int:
        with transaction.atomic():
            return next_number("invoice")

    assert sorted(map(str, together(12, act))) == sorted(map(str, range(1, 13)))
