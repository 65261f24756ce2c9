"""Whatever is typed into a form or an address, the answer is a page, and never a fault of the program."""

from typing import Any
from urllib.parse import urlencode
from uuid import uuid4

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shop.boards.models import BoardRevision
from shop.core.models import ShopProfile
from shop.people.models import Place, User
from shop.quotes.actions import draft_quote
from shop.quotes.models import QuoteVersion
from shop.screens.verbs import VERBS
from shop.screens.views.quote import QUOTE_VERBS
from shop.testing.models import TestPoint
from tests.screens.browsing import Browser
from tests.screens.conftest import At

# The last statement of a transaction checks foreign keys, so the transactions here are real ones.
pytestmark = pytest.mark.django_db(transaction=True)

_NASTY = [
    "", " ", "0", "-1", "1", "999999", "99999999999999999999", "9" * 400, "1e999999999", "NaN", "sNaN", "-Infinity",
    "1_000", "٣", "½", "0x10", "1.005", "1,5", "12.50", "0001-01-01", "9999-12-31", "2026-02-30", "2026-W10-2",
    str(uuid4()), "00000000-0000-0000-0000-000000000000", "urn:uuid:x", "'; --", "<script>alert(1)</script>",
    "{0.__class__}", "{{ 7 }}", "%s%n", "../../etc/passwd", "\r\nBcc: all@post.example", "\u202eevil", "\ufeff", "\x07",
    "\0", "👩‍🔧", "Trần Bảo", "ليلى", "a" * 5000, "yes", "other", "parts", "collected", "identity", "fasteners",
]  # fmt: skip
_VALUES = st.sampled_from(_NASTY) | st.text(max_size=30) | st.integers().map(str) | st.floats().map(str)
# Good answers to every field of every form, of which a few are then spoilt.
_GOOD = {
    "words": "Because", "count": "2", "where": "rear edge", "kind": "other", "value": "5.01", "uncertainty": "0.02",
    "answer": "yes", "instrument": "bench meter", "name": "A name", "quantity": "1", "low": "4", "high": "6",
    "offer": "A new lid", "cost": "5", "serial": "QL-1", "complaint": "Hums", "came_with": "a cable",
    "condition": "scratched", "purpose": "other", "caption": "lid", "contents": "screws", "carrier": "Coastal Post",
    "tracking": "CP 1", "declared": "100", "amount": "1", "method": "cash", "reference": "r", "free": "yes",
    "postage": "5", "price": "5", "on": "2030-01-01", "shown": "", "taken": "", "outcome": "collected",
    "check_kind": "identity", "code": "", "document": "licence", "note": "Hello", "optional": "on",
    "email": "eve@post.example", "phone": "+12025550111", "postal_address": "1 Quay", "services": "", "agreed": "limit",
    "spending_limit": "90", "announcement": "", "earlier_unit": "", "consents_asked": "1", "entry": "",
    "device": "Lantern", "capacity": "3", "equipment": "lamp, fan", "username": "eve", "role": "counter",
    "password": "a lamp without a wick", "user": "", "message": str(uuid4()), "time_zone": "UTC", "hold": "other",
    "diagnosis_fee": "25", "quote_days": "14", "warranty_days": "90", "next": "/", "text": "#1", "q": "Ada",
    "start": "1", "as": "A4",
    "by": "machine", "part": "money", "due_on": "2030-01-01", "place": "", "bench": "", "step": "",
    "group": "", "revision": "", "finding": "", "quote": "", "once": "", "version": "", "line": "", "point": "",
    "model": "", "customer": "", "cable": "", "display": "", "region": "", "street": "", "town": "",
    "payment_words": "", "packing_words": "",
}  # fmt: skip
_SPOILT = st.dictionaries(st.sampled_from(sorted(_GOOD)), _VALUES, min_size=1, max_size=3)
_OFTEN = settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow]
)


@pytest.fixture
def known(unit_at: At, as_owner: Browser, helper: Any, shop: ShopProfile) -> dict[str, Any]:
    """A unit at the bench, one in pickup and a draft, with true ids, so that nonsense comes further than the door."""
    ready = unit_at("pickup")
    asked = unit_at("diagnosed")
    draft: QuoteVersion = draft_quote(actor=helper, unit_id=asked.id)
    at_bench = unit_at("diagnosis")
    ids = {
        "line": str(draft.lines.first().id),  # type: ignore[union-attr]
        "point": str(TestPoint.objects.filter(phase="open").first().id),  # type: ignore[union-attr]
        "model": str(asked.model_id),
        "version": str(at_bench.version),
        "customer": str(asked.customer_id),
        "step": str(at_bench.steps.all()[0].id),
        "group": str(at_bench.fasteners.all()[0].id),
        "revision": str(BoardRevision.objects.get().id),
        "place": str(Place.objects.get(kind="shelf").id),
        "bench": str(Place.objects.filter(kind="bench").first().id),  # type: ignore[union-attr]
        "user": str(User.objects.first().id),  # type: ignore[union-attr]
        "quote": str(draft.id),
        "earlier_unit": str(ready.id),
    }
    units = [f"/units/{unit.number}/do/{verb}" for unit in (at_bench, ready, asked) for verb in VERBS]
    quotes = [f"/quotes/{draft.id}/do/{verb}" for verb in (*QUOTE_VERBS, "nothing")]
    others = ["counter/customer", "counter/write-up", "counter/waiting", "shop/places", "shop/people", "shop/devices"]
    others += ["shop/figures", "notices/again", "bench/tie", "sign-in", "scan/picture"]
    return {"posts": [*units, *quotes, *(f"/{other}" for other in others)], "ids": ids, "browser": as_owner}


@_OFTEN
@given(data=st.data(), fields=_SPOILT)
def test_it_answers_every_form(known: dict[str, Any], data: st.DataObject, fields: dict[str, str]) -> None:
    address = data.draw(st.sampled_from(known["posts"]))
    left_out = data.draw(st.sets(st.sampled_from(sorted(known["ids"])), max_size=2))
    ids = {name: value for name, value in known["ids"].items() if name not in left_out}
    answer = known["browser"].post(address, _GOOD | ids | fields)
    assert answer.status_code < 500


@_OFTEN
@given(data=st.data(), fields=_SPOILT, number=st.integers(min_value=0), odd=_VALUES)
def test_it_answers_every_address(
    known: dict[str, Any], data: st.DataObject, fields: dict[str, str], number: int, odd: str
) -> None:
    unit = data.draw(st.sampled_from([1, 2, 3]) | st.just(number))
    pages = [f"/units/{unit}", f"/units/{unit}/labels", f"/units/{unit}/receipt", f"/quotes/{uuid4()}"]
    pages += ["/", "/counter", "/counter/write-up", "/bench", "/scan", "/notices", "/shop", "/shop/labels", "/sign-in"]
    pages += [f"/photos/{uuid4()}", "/t/0000000", "/p/ZZZZZZZ", "/b/abcdefg", f"/t/{urlencode({'': odd})[1:]}"]
    answer = known["browser"].get(f"{data.draw(st.sampled_from(pages))}?{urlencode(_GOOD | fields)}")
    assert answer.status_code < 500
