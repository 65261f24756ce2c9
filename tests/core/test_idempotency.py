"""A repeated request has the effect of one."""

import pytest
from django.db import IntegrityError

from shop.core.actor import STRANGER, Actor
from shop.core.idempotency import Answer, KeyReused, fingerprint, once
from shop.core.models import KeptAnswer, PersonalText
from shop.core.reasons import Reason, Refused
from tests.core.together import together

BODY = fingerprint("POST", "/api/v1/things", '{"a": 1}')


def _perform() -> Answer:
    """Write one row and answer with its id, so that two effects would give two answers."""
    return Answer(201, str(PersonalText.objects.create(text="done").id))


def _ask(actor: Actor, key: str = "k-1", of: str = BODY) -> Answer:
    return once(actor=actor, key=key, fingerprint=of, perform=_perform)


def test_it_answers_a_repeat_with_the_first_answer(owner: Actor) -> None:
    assert _ask(owner) == _ask(owner)
    assert PersonalText.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_it_has_one_effect_and_twenty_equal_answers_when_asked_twenty_times_at_once(owner: Actor) -> None:
    answers = together(20, lambda: _ask(owner))
    assert PersonalText.objects.count() == 1
    assert answers == [Answer(201, str(PersonalText.objects.get().id))] * 20


@pytest.mark.django_db(transaction=True)
def test_without_a_key_each_of_many_at_once_has_its_effect(owner: Actor) -> None:
    """The control: the effects above are one because of the key."""
    together(5, lambda: _ask(owner, key=""))
    assert PersonalText.objects.count() == 5


def test_it_refuses_the_same_key_for_another_request(owner: Actor) -> None:
    _ask(owner)
    with pytest.raises(KeyReused) as refused:
        _ask(owner, of=fingerprint("POST", "/api/v1/things", '{"a": 2}'))
    assert refused.value.code == "key_reused"
    assert PersonalText.objects.count() == 1


def test_it_keeps_keys_of_different_people_apart(owner: Actor, helper: Actor) -> None:
    assert _ask(owner) != _ask(helper)


def test_it_keeps_keys_of_strangers_apart_by_address(db: None) -> None:
    here, there = Actor(role=STRANGER.role, address="192.0.2.1"), Actor(role=STRANGER.role, address="192.0.2.2")
    assert _ask(here) != _ask(there)


def test_it_keeps_long_keys_apart_that_begin_alike(owner: Actor) -> None:
    assert _ask(owner, key="k" * 90 + "a") != _ask(owner, key="k" * 90 + "b")


def test_a_refusal_leaves_no_key_and_no_effect(owner: Actor) -> None:
    def refuse() -> Answer:
        _perform()
        raise Refused(Reason("blank", {"label": "Name"}))

    with pytest.raises(Refused):
        once(actor=owner, key="k-1", fingerprint=BODY, perform=refuse)
    assert (KeptAnswer.objects.count(), PersonalText.objects.count()) == (0, 0)
    assert _ask(owner).status == 201


def test_it_does_not_take_another_broken_rule_for_a_repeat(owner: Actor) -> None:
    def break_a_rule() -> Answer:
        raise IntegrityError("some other rule")

    with pytest.raises(IntegrityError, match="some other rule"):
        once(actor=owner, key="k-1", fingerprint=BODY, perform=break_a_rule)


def test_a_fingerprint_tells_where_one_part_ends() -> None:
    assert fingerprint("ab", "c") != fingerprint("a", "bc")
    assert fingerprint("a", b"b") == fingerprint("a", "b")
