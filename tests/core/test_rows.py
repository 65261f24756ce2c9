"""Looking up a row that has to be there."""

from uuid import UUID

import pytest

from shop.core.reasons import Missing, Reason
from shop.core.rows import existing, no_such
from shop.people.models import Customer

NOBODY = UUID("00000000-0000-0000-0000-000000000194")


def test_it_returns_the_row_of_a_model_or_of_some_of_its_rows(ada: Customer) -> None:
    assert existing(Customer, ada.pk) == existing(Customer.objects.filter(name=ada.name), ada.pk) == ada


def test_it_says_what_is_missing_and_where_it_was_asked(ada: Customer, bao: Customer) -> None:
    reasons = []
    for rows, pk in ((Customer, NOBODY), (Customer.objects.exclude(pk=ada.pk), ada.pk)):
        with pytest.raises(Missing) as missing:
            existing(rows, pk, field="customer")
        reasons += missing.value.reasons
    assert reasons == [Reason("missing", {"thing": "customer", "sought": pk}, "customer") for pk in (NOBODY, ada.pk)]


def test_a_row_can_be_named_by_what_was_typed() -> None:
    assert no_such(Customer, "C-12").reasons == (Reason("missing", {"thing": "customer", "sought": "C-12"}),)
