"""Who may ask for what: every address and method against every role, in one table."""

from collections.abc import Callable
from typing import Any

import pytest
from django.urls import URLPattern

from api.urls import urlpatterns
from shop.core.actor import Actor
from shop.people.actions import issue_token, revoke_token
from shop.people.models import Customer, User
from shop.reckoner.contents import RECKONINGS
from shop.units import links
from shop.units.models import Unit
from tests.api.conftest import NOBODY, Device

# o owner, t technician, c counter, - stranger. Addresses that a link opens are tried in test_link.py.
TABLE = {
    ("schema", "GET"): "otc-", ("me", "GET"): "otc", ("units", "GET"): "otc", ("units", "POST"): "otc",
    ("search", "GET"): "otc", ("earlier", "GET"): "otc", ("unit", "GET"): "otc", ("unit", "PATCH"): "otc",
    ("trail", "GET"): "otc", ("moves", "POST"): "otc", ("place", "POST"): "otc", ("revision", "POST"): "ot",
    ("holds", "GET"): "otc", ("holds", "POST"): "otc", ("lift", "POST"): "otc", ("comeback", "POST"): "o",
    ("bags", "GET"): "otc", ("bags", "POST"): "otc", ("findings", "GET"): "otc", ("findings", "POST"): "otc",
    ("settle", "POST"): "otc", ("unit-photos", "GET"): "otc", ("unit-photos", "POST"): "otc",
    ("photos", "POST"): "otc", ("photo-file", "GET"): "otc", ("parcels", "GET"): "otc", ("parcels", "POST"): "oc",
    ("incidents", "GET"): "otc", ("incidents", "POST"): "ot", ("costs", "GET"): "oc", ("costs", "POST"): "oc",
    ("steps", "GET"): "otc", ("tick", "POST"): "ot", ("untick", "POST"): "ot", ("fasteners", "GET"): "otc",
    ("fasteners", "POST"): "ot", ("fasteners-back", "POST"): "ot", ("fasteners-write-off", "POST"): "o",
    ("readings", "GET"): "otc",
    ("readings", "POST"): "ot", ("procedure", "GET"): "otc", ("points", "GET"): "otc", ("points", "POST"): "o",
    ("retire-point", "POST"): "o", ("unit-quotes", "GET"): "otc", ("unit-quotes", "POST"): "otc",
    ("quote", "GET"): "otc", ("quote-changes", "POST"): "otc", ("quote-send", "POST"): "oc",
    ("quote-go-ahead", "POST"): "oc",
    ("quote-withdraw", "POST"): "oc", ("quote-decision", "POST"): "oc", ("due", "GET"): "oc", ("bill", "POST"): "oc",
    ("questions", "GET"): "otc", ("question-answer", "POST"): "otc", ("unit-questions", "GET"): "otc",
    ("deposit-waive", "POST"): "oc", ("quote-templates", "GET"): "otc", ("quote-templates", "POST"): "otc",
    ("template-retire", "POST"): "otc", ("markup", "GET"): "otc", ("markup", "POST"): "o",
    ("quote-paper", "GET"): "oc",
    ("sale", "POST"): "oc", ("payments", "GET"): "oc", ("payments", "POST"): "oc", ("give-back", "POST"): "o",
    ("receipt", "GET"): "oc", ("labels", "GET"): "otc", ("scans", "POST"): "otc", ("scan-picture", "POST"): "otc",
    ("link", "GET"): "oc", ("link-renew", "POST"): "oc", ("link-withdraw", "POST"): "oc", ("promise", "POST"): "otc",
    ("kit", "GET"): "otc", ("kit", "POST"): "otc", ("lots", "POST"): "otc", ("messages", "GET"): "otc",
    ("messages-in-full", "GET"): "otc", ("message", "GET"): "otc", ("bounces", "POST"): "oc",
    ("sms-reports", "POST"): "otc-", ("wordings", "GET"): "otc", ("wording", "GET"): "otc", ("wording", "POST"): "o",
    ("wording-reset", "POST"): "o", ("wording-preview", "POST"): "otc", ("wording-try", "POST"): "o",
    ("unwanted", "GET"): "otc", ("unwanted", "POST"): "oc",
    ("messages-failed", "GET"): "otc", ("message-again", "POST"): "oc", ("profile", "GET"): "otc",
    ("load", "GET"): "otc", ("announcements", "GET"): "otc", ("announcements", "POST"): "otc-",
    ("waiting", "GET"): "otc", ("waiting", "POST"): "otc", ("waiting-end", "POST"): "otc", ("room", "GET"): "otc",
    ("customers", "GET"): "otc", ("customers", "POST"): "oc", ("customer", "GET"): "otc", ("customer", "PATCH"): "oc",
    ("staff", "GET"): "otc", ("staff", "POST"): "o", ("staff-role", "POST"): "o", ("staff-retire", "POST"): "o",
    ("issue-token", "POST"): "o", ("tokens", "GET"): "o", ("revoke-token", "POST"): "o", ("models", "GET"): "otc",
    ("revisions", "GET"): "otc", ("services", "GET"): "otc", ("parts", "GET"): "otc", ("places", "GET"): "otc",
    ("places", "POST"): "o", ("place-one", "GET"): "otc", ("place-one", "PATCH"): "o", ("place-retire", "POST"): "o",
    ("models", "POST"): "ot", ("cautions", "GET"): "otc", ("model-retire", "POST"): "ot", ("revisions", "POST"): "ot",
    ("services", "POST"): "ot", ("service", "GET"): "otc", ("service", "PATCH"): "ot", ("service-parts", "POST"): "ot",
    ("service-retire", "POST"): "ot", ("parts", "POST"): "o", ("part", "GET"): "otc", ("part", "PATCH"): "o",
    ("part-retire", "POST"): "o", ("suppliers", "GET"): "otc", ("suppliers", "POST"): "o", ("lots", "GET"): "otc",
    ("reckonings", "GET"): "otc", ("kept-reckonings", "POST"): "otc",
    ("profile", "PATCH"): "o", ("staff-password", "POST"): "o",
    ("board", "GET"): "otc", ("board-description", "POST"): "ot", ("board-measures", "POST"): "ot",
    ("board-pictures", "POST"): "ot", ("placements", "POST"): "ot", ("placement-remove", "POST"): "ot",
    ("placements-import", "POST"): "ot", ("placements-table", "GET"): "otc", ("case-fasteners", "POST"): "ot",
    ("case-fasteners-remove", "POST"): "ot", ("case-fasteners-import", "POST"): "ot",
    ("case-fasteners-table", "GET"): "otc", ("unit-board", "GET"): "otc", ("mat", "GET"): "otc",
    ("revision-new", "POST"): "ot", ("steps-again", "POST"): "ot", ("fasteners-group-out", "POST"): "ot",
    ("plan", "GET"): "otc", ("plan", "POST"): "o", ("plan-promises", "GET"): "otc", ("plan-facts", "GET"): "otc",
    ("plan-facts", "PATCH"): "o", ("plan-facts-remove", "POST"): "o", ("plan-shifts", "POST"): "o",
    ("plan-days-off", "POST"): "o", ("plan-extra-days", "POST"): "o", ("plan-skills", "POST"): "o",
    ("plan-flow", "GET"): "otc",
    ("plan-alone", "POST"): "o", ("plan-what-if", "POST"): "otc", ("unit-plan", "GET"): "otc",
    ("unit-plan-cost", "GET"): "otc", ("unit-pin", "POST"): "o", ("unit-unpin", "POST"): "o",
    ("unit-first", "POST"): "o", ("unit-wait-turn", "POST"): "o",
}  # fmt: skip
TABLE |= {(f"reckon-{name}", "POST"): "otc" for name in RECKONINGS}
OPENED_BY_A_LINK = {("progress", "GET"), ("link-decision", "POST"), ("link-questions", "POST")}


def routes() -> dict[tuple[str, str], URLPattern]:
    found = {}
    for pattern in urlpatterns:
        view: Any = pattern.callback.view_class  # type: ignore[attr-defined]
        for method in ("get", "post", "patch", "put", "delete"):
            if hasattr(view, method):
                found[str(pattern.name), method.upper()] = pattern
    return found


def address(pattern: URLPattern) -> str:
    """An address of things that do not exist: whoever may ask hears so, whoever may not does not get that far."""
    path = str(pattern.pattern)
    while "<" in path:
        path = path[: path.index("<")] + str(NOBODY) + path[path.index(">") + 1 :]
    return path


def test_the_table_names_every_route() -> None:
    assert set(TABLE) | OPENED_BY_A_LINK == set(routes())


@pytest.mark.django_db
def test_it_lets_each_role_do_what_the_table_says(boss: Device, tablet: Device, desk: Device, stranger: Device) -> None:
    who = {"o": boss, "t": tablet, "c": desk, "-": stranger}
    wrong = []
    for key, allowed in TABLE.items():
        for letter, asking in who.items():
            answer = asking.send(key[1], address(routes()[key]), {} if key[1] != "GET" else None)
            refused = answer.status_code in (401, 403)
            if refused == (letter in allowed) or answer.status_code >= 500:
                wrong.append((key, letter, answer.status_code))
    assert wrong == []


@pytest.mark.django_db
def test_a_stranger_is_asked_for_a_token(stranger: Device) -> None:
    answer = stranger.get("units")
    assert (answer.status_code, answer.headers["WWW-Authenticate"]) == (401, 'Bearer realm="wickline"')


def test_a_revoked_token_opens_nothing(owner: Actor, jun: User) -> None:
    row, token = issue_token(actor=owner, user_id=jun.id, name="tablet")
    revoke_token(actor=owner, token_id=row.id)
    assert Device(f"Bearer {token}").get("units").status_code == 401


def test_a_customers_link_opens_nothing_of_the_staffs(write: Callable[..., Unit], ada: Customer) -> None:
    link = links.open_link(write(ada))
    assert link is not None
    assert Device(f"Link {links.token_of(link)}").get("units").status_code == 401


def test_guessed_tokens_are_slowed_down(stranger: Device) -> None:
    answers = [Device(f"Bearer wl_{number}").get("units").status_code for number in range(22)]
    assert answers[0] == 401
    assert answers[-1] == 429
