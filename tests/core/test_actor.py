"""Who may do what: the table, and that code and table name the same verbs."""

import ast

import pytest

from shop.core.actor import STRANGER, SYSTEM, Actor, Role, may, permit
from shop.core.permits import PERMITS
from shop.core.reasons import Refused
from tests.core.source import calls, strings, trees


def test_it_lets_a_role_pass_that_has_the_verb() -> None:
    permit(Actor(role=Role.OWNER), "core.change_profile")


@pytest.mark.parametrize("role", [role for role in Role if role is not Role.OWNER])
def test_it_refuses_every_other_role_and_says_which(role: Role) -> None:
    with pytest.raises(Refused) as refused:
        permit(Actor(role=role), "core.change_profile")
    reason = refused.value.reasons[0]
    assert (reason.code, reason.facts["role"]) == ("not_permitted", role.value)


def test_it_takes_an_unknown_verb_for_a_mistake_and_not_for_a_permission() -> None:
    with pytest.raises(KeyError):
        may(Actor(role=Role.OWNER), "core.fly")


def test_it_names_only_roles_that_exist() -> None:
    assert {role for roles in PERMITS.values() for role in roles} <= {role.value for role in Role}


def test_it_gives_strangers_nothing_but_announcing_a_unit_asking_for_a_lost_link_and_a_gateways_report() -> None:
    """A lost link goes to the address that the shop knows, and a report needs the gateway's secret."""
    allowed = {verb for verb in PERMITS if may(STRANGER, verb)}
    assert allowed == {"core.add_photo", "units.announce", "units.lost_link", "notices.report_sms"}


def test_it_counts_neither_strangers_nor_programs_among_the_staff() -> None:
    assert [Actor(role=role).is_staff for role in (Role.OWNER, Role.TECHNICIAN, Role.COUNTER)] == [True] * 3
    assert not STRANGER.is_staff
    assert not SYSTEM.is_staff


def _verb_of(call: ast.Call) -> ast.expr | None:
    return call.args[1] if len(call.args) > 1 else next((k.value for k in call.keywords if k.arg == "verb"), None)


def test_every_verb_that_the_code_asks_for_is_in_the_table() -> None:
    asked = {
        (str(path), verb.value)
        for path, tree in trees().items()
        for call in calls(tree, "permit", "may")
        if isinstance(verb := _verb_of(call), ast.Constant)
    }
    assert len(asked) > 10
    assert {(path, verb) for path, verb in asked if verb not in PERMITS} == set()


def test_every_verb_of_the_table_is_asked_for_somewhere() -> None:
    written = {text for path, tree in trees().items() if path.name != "permits.py" for text in strings(tree)}
    assert set(PERMITS) - written == set()
