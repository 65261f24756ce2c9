"""Locking a row: found again, in a transaction, at the version that the page showed."""

import pytest
from django.db import transaction

from shop.core.locks import lock, save, unique
from shop.core.reasons import Missing, Reason, Refused, Stale
from shop.people.models import Customer, Place


def test_it_locks_the_row_and_counts_its_version_up(ada: Customer) -> None:
    with transaction.atomic():
        row = lock(Customer, pk=ada.pk, version=1)
        row.name = "Ada K."
        save(row, "name")
    ada.refresh_from_db()
    assert (ada.name, ada.version) == ("Ada K.", 2)


def test_it_refuses_a_version_that_is_no_longer_stored(ada: Customer) -> None:
    with pytest.raises(Stale) as stale, transaction.atomic():
        lock(Customer, pk=ada.pk, version=7)
    assert stale.value.reasons[0].facts == {"now": 1}


@pytest.mark.parametrize("sought", ["00000000-0000-0000-0000-000000000194", "not-an-id"])
def test_it_says_what_is_missing(db: None, sought: str) -> None:
    with pytest.raises(Missing) as missing, transaction.atomic():
        lock(Customer, pk=sought)
    assert missing.value.reasons[0].facts == {"thing": "customer", "sought": sought}


@pytest.mark.django_db(transaction=True)
def test_a_lock_lives_in_a_transaction(ada: Customer) -> None:
    with pytest.raises(transaction.TransactionManagementError):
        lock(Customer, pk=ada.pk)


def test_a_second_of_a_kind_is_refused_and_the_transaction_goes_on(shelf: Place) -> None:
    with transaction.atomic():
        with pytest.raises(Refused, match="place_name_taken"), unique(Reason("place_name_taken")):
            Place.objects.create(name=shelf.name, kind="box")
        Place.objects.create(name="Shelf B", kind="shelf")
    assert Place.objects.count() == 2
