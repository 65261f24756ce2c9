"""Who may do what on the staff's pages: every route and every verb against every role, in two tables.

o is the owner, t a technician, c the counter. Somebody who left, a customer with a link, and a stranger may nothing.
"""

from typing import Any
from uuid import uuid4

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse

from shop.core.models import TrailEntry
from shop.people.models import User
from shop.quotes.actions import draft_quote
from shop.quotes.models import QuoteVersion
from shop.screens.urls import pages
from shop.screens.verbs import VERBS
from shop.screens.views.quote import QUOTE_VERBS
from shop.units import links
from shop.units.models import Unit
from tests.screens.browsing import Browser
from tests.screens.conftest import At

EVERYBODY = "otc-"
LOOK = {
    "floor": "otc",
    "sign-in": EVERYBODY,
    "sign-in-code": EVERYBODY,
    "second-step": "otc",
    "counter": "otc",
    "write-up": "otc",
    "unit": "otc",
    "unit-labels": "otc",
    "unit-board": "otc",
    "unit-sheet": "otc",
    "mat": "otc",
    "board": "otc",
    "board-table": "otc",
    "receipt": "oc",
    "quote": "otc",
    "quote-paper": "oc",
    "bench": "ot",
    "scan": "otc",
    "label": "otc",
    "notices": "otc",
    "notice-templates": "otc",
    "notice-template": "otc",
    "shop": "otc",
    "shop-labels": "otc",
    "photo": "otc",
    "library": "otc",
    "reckoner": "otc",
    "reckoning": "otc",
    "part": "otc",
    "service": "otc",
    "person": "o",
    "place": "o",
    "me": "otc",
    "plan": "otc",
    "plan-sheet": "otc",
    "plan-unit": "otc",
    "plan-flow": "otc",
    "plan-what-if": "otc",
    "plan-facts": "otc",
    "money": "o",
}
SEND = {
    "sign-in": EVERYBODY,
    "sign-in-code": EVERYBODY,
    "second-step": "otc",
    "second-step-off": "otc",
    "sign-out": EVERYBODY,
    "new-customer": "oc",
    "write-up": "otc",
    "waiting": "otc",
    "do": "otc",
    "unit-board": "otc",
    "board-do": "ot",
    "quote-do": "otc",
    "tie": "otc",
    "scan-picture": "otc",
    "notices-again": "oc",
    "notice-template-do": "o",
    "new-place": "o",
    "money-do": "o",
    "new-person": "o",
    "devices": "o",
    "figures": "o",
    "library-do": "ot",
    "reckoning-keep": "otc",
    "part-do": "o",
    "service-do": "ot",
    "person-do": "o",
    "place-do": "o",
    "my-password": "otc",
    "plan-again": "o",
    "plan-unit-do": "o",
    "plan-facts-do": "o",
}
UNIT_VERBS = {
    "take_in": "otc",
    "refuse": "otc",
    "start_diagnosis": "ot",
    "start_work": "ot",
    "start_closing": "ot",
    "finish_diagnosis": "ot",
    "park": "otc",
    "finish_bench": "ot",
    "pass_test": "ot",
    "fail_test": "ot",
    "recall": "otc",
    "return_unopened": "otc",
    "hand_over": "oc",
    "tick": "ot",
    "untick": "ot",
    "fasteners-out": "ot",
    "group-out": "ot",
    "new-revision": "ot",
    "sheet-again": "ot",
    "fasteners-back": "ot",
    "fasteners-off": "o",
    "revision": "ot",
    "reading": "ot",
    "free-reading": "ot",
    "hold": "otc",
    "lift": "otc",
    "place": "otc",
    "finding": "otc",
    "settle": "otc",
    "incident": "ot",
    "change": "otc",
    "photo": "otc",
    "bag": "otc",
    "parcel-in": "oc",
    "parcel-out": "oc",
    "cost": "oc",
    "comeback": "o",
    "draft": "otc",
    "bill": "oc",
    "sell": "oc",
    "pay": "oc",
    "give-back": "o",
    "renew-link": "oc",
    "revoke-link": "oc",
    "promise": "otc",
    "answer": "oc",
    "reply": "otc",
    "waive-deposit": "oc",
}
SENT_WITH_QUOTES = {
    "send": "oc",
    "go-ahead": "oc",
    "withdraw": "oc",
    "remove": "otc",
    "note": "otc",
    "change": "otc",
    "add": "otc",
    "move": "otc",
    "reason": "otc",
    "template": "otc",
    "offer": "otc",
    "keep": "otc",
}


def _form(**more: str) -> dict[str, str]:
    """Fields that read well for any verb, so that each comes as far as asking who may."""
    ids = {name: str(uuid4()) for name in ("bench", "place", "step", "group", "revision", "point", "finding", "quote")}
    words = {"words": "Because", "outcome": "collected", "check_kind": "identity", "kind": "other", "hold": "other"}
    figures = {"count": "1", "value": "5", "amount": "1", "price": "1", "on": "2030-01-01", "quantity": "1"}
    named = {"name": "A name", "where": "rear", "carrier": "Coastal Post", "offer": "Sorry", "line": str(uuid4())}
    return ids | words | figures | named | {"version": "1", "once": uuid4().hex} | more


@pytest.fixture
def draft(unit_at: At, helper: Any) -> QuoteVersion:
    return draft_quote(actor=helper, unit_id=unit_at("diagnosed").id)


@pytest.fixture
def staff(as_owner: Browser, as_technician: Browser, as_counter: Browser) -> dict[str, Browser]:
    return {"o": as_owner, "t": as_technician, "c": as_counter}


@pytest.fixture
def outside(stranger: Browser, as_retired: Browser, draft: QuoteVersion) -> dict[str, Browser]:
    customer = Browser()
    link = links.open_link(draft.unit)
    assert link is not None
    customer.cookies[settings.CUSTOMER_COOKIE_NAME] = links.token_of(link)
    return {"stranger": stranger, "retired": as_retired, "customer": customer}


def _address(name: str, draft: QuoteVersion) -> str:
    unit = draft.unit
    photo = unit.photos.first()
    assert photo is not None
    values: dict[str, tuple[object, ...]] = {
        "unit": (unit.number,),
        "do": (unit.number, "change"),
        "unit-labels": (unit.number,),
        "unit-board": (unit.number,),
        "unit-sheet": (unit.number,),
        "mat": (unit.number, "fasteners"),
        "board": (unit.revision_id,),
        "board-do": (unit.revision_id, "placement-out"),
        "board-table": (unit.revision_id, "placements"),
        "receipt": (unit.number,),
        "quote": (draft.id,),
        "quote-paper": (draft.id,),
        "quote-do": (draft.id, "note"),
        "money-do": ("figures",),
        "library-do": ("model",),
        "reckoning": ("esr",),
        "reckoning-keep": ("esr",),
        "part": (uuid4(),),
        "part-do": (uuid4(), "change"),
        "service": (uuid4(),),
        "service-do": (uuid4(), "change"),
        "person": (uuid4(),),
        "person-do": (uuid4(), "role"),
        "place": (uuid4(),),
        "place-do": (uuid4(), "change"),
        "label": ("t", unit.bags.get(kind="unit").code),
        "notice-template": ("ready", "en"),
        "notice-template-do": ("ready", "en", "keep"),
        "photo": (photo.photo_id,),
        "plan-sheet": (uuid4(),),
        "plan-unit": (unit.number,),
        "plan-unit-do": (unit.number, "unpin"),
        "plan-facts-do": ("remove",),
    }
    return reverse(f"screens:{name}", args=values.get(name, ()))


def test_it_names_every_route_and_every_verb() -> None:
    assert {str(route.name) for route in pages} == set(LOOK) | set(SEND)
    assert set(VERBS) == set(UNIT_VERBS)
    assert set(QUOTE_VERBS) == set(SENT_WITH_QUOTES)


def test_it_shows_each_page_to_whom_it_is_for(staff: dict[str, Browser], draft: QuoteVersion) -> None:
    seen = {
        name: "".join(role for role, who in staff.items() if who.get(_address(name, draft)).status_code != 403)
        for name in LOOK
    }
    assert seen == {name: roles.replace("-", "") for name, roles in LOOK.items()}


def test_it_takes_each_form_from_whom_it_is_for(staff: dict[str, Browser], draft: QuoteVersion) -> None:
    signed_out_last = sorted(SEND, key=lambda name: name.startswith("sign"))
    taken = {
        name: "".join(r for r, who in staff.items() if who.post(_address(name, draft), _form()).status_code != 403)
        for name in signed_out_last
    }
    assert taken == {name: roles.replace("-", "") for name, roles in SEND.items()}


def test_it_does_each_verb_for_whom_it_is_for(staff: dict[str, Browser], unit_at: At) -> None:
    unit = unit_at("intake")
    done = {verb: _who_may(staff, reverse("screens:do", args=[unit.number, verb])) for verb in UNIT_VERBS}
    assert done == UNIT_VERBS


def test_it_does_each_verb_of_a_quote_for_whom_it_is_for(staff: dict[str, Browser], draft: QuoteVersion) -> None:
    done = {verb: _who_may(staff, reverse("screens:quote-do", args=[draft.id, verb])) for verb in SENT_WITH_QUOTES}
    assert done == SENT_WITH_QUOTES


def _who_may(staff: dict[str, Browser], address: str) -> str:
    """Which roles are let through; one that is not must leave no trace, whatever else the form says."""
    may = ""
    for role, browser in staff.items():
        before = TrailEntry.objects.count()
        answer = browser.post(address, _form())
        assert answer.status_code in (303, 403, 422), (address, role, answer.status_code)
        if answer.status_code == 403:
            assert TrailEntry.objects.count() == before, (address, role)
        else:
            may += role
    return may


@pytest.mark.parametrize("who", ["stranger", "retired", "customer"])
def test_it_sends_whoever_does_not_work_here_to_the_sign_in_page(
    who: str, outside: dict[str, Browser], draft: QuoteVersion
) -> None:
    browser, before = outside[who], TrailEntry.objects.count()
    for name in [name for name, roles in LOOK.items() if "-" not in roles]:
        answer = browser.get(_address(name, draft))
        assert (answer.status_code, answer.url.split("?")[0]) == (302, "/sign-in"), name
    for name in [name for name, roles in SEND.items() if "-" not in roles]:
        answer = browser.post(_address(name, draft), _form())
        assert (answer.status_code, answer.url.split("?")[0]) == (302, "/sign-in"), name
    for verb in UNIT_VERBS:
        answer = browser.post(reverse("screens:do", args=[draft.unit.number, verb]), _form())
        assert (answer.status_code, answer.url.split("?")[0]) == (302, "/sign-in"), verb
    assert TrailEntry.objects.count() == before


def test_it_refuses_every_form_that_no_page_of_the_shop_made(ottilie: User, draft: QuoteVersion) -> None:
    browser, before = Client(enforce_csrf_checks=True), TrailEntry.objects.count()
    browser.force_login(ottilie)
    addresses = [_address(name, draft) for name in SEND]
    addresses += [reverse("screens:do", args=[draft.unit.number, verb]) for verb in UNIT_VERBS]
    addresses += [reverse("customer:answer", args=[draft.unit.number]), reverse("customer:announce")]
    answers = {address: browser.post(address, _form()).status_code for address in addresses}
    assert set(answers.values()) == {403}, answers
    assert TrailEntry.objects.count() == before


def test_it_takes_a_form_that_a_page_made(ottilie: User, unit_at: At) -> None:
    unit = unit_at("intake")
    browser = Client(enforce_csrf_checks=True)
    browser.force_login(ottilie)
    browser.get(f"/units/{unit.number}")
    token = browser.cookies[settings.CSRF_COOKIE_NAME].value
    answer = browser.post(f"/units/{unit.number}/do/take_in", {"csrfmiddlewaretoken": token})
    assert answer.status_code == 303
    assert Unit.objects.get(pk=unit.pk).stage == "queue"


def test_it_looks_only_where_looking_changes_nothing(as_owner: Browser, draft: QuoteVersion) -> None:
    """A link in a message must not be able to do anything by being followed."""
    both = set(LOOK) & set(SEND)
    for name in set(SEND) - both:
        assert as_owner.get(_address(name, draft)).status_code == 405, name
    for name in set(LOOK) - both:
        assert as_owner.post(_address(name, draft), _form()).status_code == 405, name
