"""Units taken through the whole shop by the pages alone, until every verb was used."""

from typing import Any

import pytest
from django.db.models import F

from shop.boards.case_actions import put_fastener
from shop.boards.models import BoardRevision
from shop.boards.spots import Screw
from shop.books.queries import amount_due
from shop.core.actor import Actor, Role
from shop.core.models import ShopProfile
from shop.floor.demo.stock_in_trade import House
from shop.people.models import Customer, Place
from shop.quotes.models import QuoteVersion
from shop.quotes.questions import ask
from shop.screens.verbs import VERBS
from shop.testing.queries import procedure
from shop.units import links
from shop.units.models import Unit
from shop.work.outline import COUNT
from shop.work.queries import open_steps
from tests.screens.browsing import Browser, said
from tests.screens.conftest import At, trail_of
from tests.screens.files import picture


def evidence(wanted: str) -> dict[str, Any]:
    """What a step asks for with its tick."""
    found: dict[str, dict[str, Any]] = {
        "": {}, "photo": {"photo": picture()}, "volts": {"value": "0.2"}, "ohms": {"value": "480"}
    }  # fmt: skip
    return found[wanted]


class Walk:
    """Takes one unit along and notes which verbs were used."""

    used: set[str]

    def __init__(self, who: dict[str, Browser], unit: Unit, used: set[str]) -> None:
        self.who, self.number, self.used = who, unit.number, used

    @property
    def unit(self) -> Unit:
        return Unit.objects.get(number=self.number)

    def do(self, who: str, verb: str, **fields: Any) -> None:
        answer = self.who[who].do(self.unit, verb, version=str(self.unit.version), **fields)
        assert answer.status_code == 303, (verb, said(answer))
        self.used.add(verb)

    def stage(self) -> str:
        return self.unit.outcome or self.unit.stage

    def tick_all(self) -> None:
        """Tick what is open; the fasteners go back before the last step counts them."""
        for step in open_steps(self.unit):
            if step.code == COUNT:
                self.fasteners()
            self.do("jun", "tick", step=str(step.id), **evidence(step.evidence))

    def measure(self, value: str = "5.01") -> None:
        phase = "open" if self.unit.stage == "bench" else "closed"
        for point in procedure(self.unit, phase):
            found = {"value": value, "uncertainty": "0,02"} if point.quantity else {"answer": "yes"}
            self.do("jun", "reading", point=str(point.id), instrument="bench meter", **found)

    def fasteners(self) -> None:
        for group in self.unit.fasteners.filter(back__lt=F("out")):
            self.do("jun", "fasteners-back", group=str(group.id), count=str(group.missing))

    def to_testing(self) -> None:
        self.measure()
        self.tick_all()
        self.do("jun", "finish_bench")


@pytest.fixture
def who(as_owner: Browser, as_technician: Browser, as_counter: Browser) -> dict[str, Browser]:
    return {"ottilie": as_owner, "jun": as_technician, "pim": as_counter}


def _write_up(pim: Browser, house: House, customer: Customer | None, **more: str) -> Unit:
    fields = {"model": str(house.models["lantern"].id), "services": str(house.services["recap"].id), **more}
    if customer:
        fields |= {"customer": str(customer.id), "complaint": "Hums", "agreed": "fee", "consents_asked": "1"}
    answer = pim.send("write-up", **fields)
    assert answer.status_code == 303, said(answer)
    return Unit.objects.order_by("-number")[0]


def _mended(walk: Walk, pim: Browser) -> None:
    """Quoted after a diagnosis, approved by telephone, parked, failed once, mended, recalled, posted."""
    bench = str(Place.objects.get(name="Bench 1").id)
    walk.do("pim", "photo", photo=picture(), purpose="condition", for_customer="on")
    walk.do("pim", "parcel-in", carrier="Coastal Post", tracking="CP 1", declared="120")
    walk.do("pim", "bag", kind="accessories", contents="one controller")
    walk.do("pim", "change", condition="A scratch on the lid")
    walk.do("pim", "take_in")
    walk.do("pim", "hold", hold="customer", words="bring the power supply", due_on="2030-01-01")
    walk.do("pim", "lift", hold="customer")
    walk.do("pim", "place", place=str(Place.objects.get(name="Shelf A").id))
    walk.do("jun", "start_diagnosis", bench=bench)
    walk.do("jun", "fasteners-out", where="rear edge", kind="cross, 3 × 12 mm", count="4")
    walk.do("jun", "revision", revision=str(BoardRevision.objects.get().id))
    walk.do("jun", "photo", photo=picture("PNG"), purpose="board")
    walk.do("jun", "free-reading", name="12 V rail", quantity="V", value="11.2", low="11", high="13")
    walk.do("jun", "finding", kind="earlier_work", words="Somebody was here before", photo=picture())
    walk.do("jun", "settle", finding=str(walk.unit.findings.get().id), words="Noted")
    walk.do("jun", "incident", words="A clip broke", offer="A new one", cost="3")
    walk.do("jun", "finish_diagnosis")
    walk.do("pim", "draft", postage="14.50")
    ShopProfile.objects.update(deposit_percent=50)
    quote = QuoteVersion.objects.get(unit=walk.unit)
    assert pim.send("quote-do", quote.id, "send", version=str(quote.version)).status_code == 303
    ShopProfile.objects.update(deposit_percent=0)
    quote.refresh_from_db()
    asked = ask(actor=Actor(role=Role.CUSTOMER, id="link"), unit_id=walk.unit.id, text="Will it hum again?")
    walk.do("pim", "reply", question=str(asked.id), reply="It will not.")
    walk.do("pim", "answer", quote=str(quote.id), answer="yes", shown=quote.content_sha256, agreed="fragile")
    walk.do("pim", "waive-deposit", words="A regular")
    walk.do("pim", "promise", on=_soon(walk.unit), words="Asked for a Friday")
    walk.do("jun", "start_work", bench=bench)
    first = open_steps(walk.unit)[0]
    walk.do("jun", "tick", step=str(first.id), photo=picture())
    walk.do("jun", "untick", step=str(first.id))
    walk.do("jun", "park", words="waits for a can", hold="parts", due_on="2030-01-01")
    walk.do("jun", "lift", hold="parts")
    walk.do("jun", "start_work", bench=bench)
    walk.to_testing()
    walk.do("jun", "fail_test", words="The left channel cuts out", bench=bench)
    walk.to_testing()
    walk.measure()
    walk.do("jun", "pass_test")
    walk.do("pim", "recall", words="The lid rattles")
    walk.measure()
    walk.do("jun", "pass_test")
    walk.do("pim", "bill")
    walk.do("pim", "pay", amount=f"{amount_due(walk.unit).due_minor / 100:.2f}", method="transfer", reference="0001")
    walk.do("pim", "parcel-out", carrier="Coastal Post", tracking="CP 2", declared="120")
    walk.do("pim", "photo", photo=picture(), purpose="packing_out")
    walk.do("pim", "renew-link")
    walk.do("pim", "hand_over", outcome="shipped", check_kind="post")
    assert walk.stage() == "shipped"


def _soon(unit: Unit) -> str:
    assert unit.promised_on
    return unit.promised_on.isoformat()


@pytest.mark.django_db(transaction=True)
def test_it_uses_every_verb_on_the_way(who: dict[str, Browser], house: House, ada: Customer) -> None:
    used: set[str] = set()
    pim = who["pim"]
    mended = Walk(who, _write_up(pim, house, ada, by_mail="on"), used)
    _mended(mended, pim)

    comeback = Walk(who, _write_up(pim, house, ada, earlier_unit=str(mended.unit.id)), used)
    comeback.do("ottilie", "comeback", free="yes", words="Our joint")
    comeback.do("pim", "refuse", words="There is nothing wrong with it")
    comeback.do(
        "pim", "hand_over", outcome="refused_at_intake", check_kind="code", code=links.pickup_code(comeback.unit)
    )

    unopened = Walk(who, _write_up(pim, house, ada), used)
    unopened.do("pim", "take_in")
    _decline(unopened, pim)
    unopened.do("pim", "return_unopened")
    unopened.do("pim", "revoke-link")

    opened = Walk(who, _write_up(pim, house, ada), used)
    opened.do("pim", "take_in")
    opened.do("jun", "start_diagnosis", bench=str(Place.objects.get(name="Bench 1").id))
    opened.do("jun", "fasteners-out", where="rear edge", kind="cross", count="4")
    opened.do("jun", "park", words="The customer telephoned")
    _decline(opened, pim)
    opened.do("jun", "start_closing", bench=str(Place.objects.get(name="Bench 2").id))
    opened.tick_all()
    opened.do("jun", "finish_bench")
    opened.do("jun", "pass_test")

    own = Walk(who, _write_up(pim, house, None), used)
    own.do("pim", "cost", words="House clearance", amount="35")
    own.do("pim", "take_in")
    own.do("jun", "start_work", bench=str(Place.objects.get(name="Bench 1").id))
    own.do("jun", "new-revision", marking="QL-B9", how_to_tell="Blue print")
    screw = Screw(label="A", where="rear edge", drive="cross", length_mm=12, count=4)
    put_fastener(actor=house.owner, revision_id=own.unit.revision_id or "", screw=screw)
    own.do("jun", "sheet-again")
    own.do("jun", "group-out", label="A")
    group = str(own.unit.fasteners.get().id)
    own.do("ottilie", "fasteners-off", group=group, count="1", reason="Rolled under the floor")
    own.to_testing()
    own.measure()
    own.do("jun", "pass_test")
    own.do("pim", "sell", price="120")
    own.do("pim", "pay", amount=f"{amount_due(own.unit).due_minor / 100:.2f}", method="cash")
    own.do("pim", "hand_over", outcome="sold", check_kind="own")
    own.do("ottilie", "give-back", amount="5", method="cash", words="A scratch on the lid")

    assert set(VERBS) - used == set()
    assert [walk.stage() for walk in (comeback, unopened, opened, own)] == [
        "refused_at_intake", "pickup", "pickup", "sold"
    ]  # fmt: skip
    for number in Unit.objects.values_list("number", flat=True):
        assert who["pim"].see("unit", number).status_code == 200


def _decline(walk: Walk, pim: Browser) -> None:
    walk.do("pim", "draft")
    quote = QuoteVersion.objects.get(unit=walk.unit)
    pim.send("quote-do", quote.id, "send", version=str(quote.version))
    quote.refresh_from_db()
    walk.do("pim", "answer", quote=str(quote.id), answer="no", shown=quote.content_sha256, words="Too dear")


def test_it_does_nothing_to_a_unit_that_left(who: dict[str, Browser], unit_at: At) -> None:
    gone = unit_at("left")
    before = trail_of(gone)
    for verb in ("take_in", "recall", "hand_over", "change", "bag", "hold", "pay", "renew-link", "photo"):
        sent = {"words": "x", "hold": "other", "kind": "removed", "amount": "1", "method": "cash", "photo": picture()}
        sent |= {"outcome": "collected", "check_kind": "identity", "document": "licence", "purpose": "other"}
        answer = who["ottilie"].do(gone, verb, **sent)
        assert answer.status_code == 422, verb
        assert said(answer), verb
    assert trail_of(gone) == before
