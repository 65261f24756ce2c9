"""The demo's customers, and a floor with one unit at every turn of the journey. All invented."""

from datetime import timedelta
from typing import Any

from shop.core import clock
from shop.core.actor import Actor, Role
from shop.floor.demo.journeys import Journey
from shop.floor.demo.stock_in_trade import House
from shop.floor.flows import bench, intake, testing
from shop.floor.stages import Move
from shop.people.actions import add_customer
from shop.people.models import Customer
from shop.units import actions as units
from shop.units.models import Unit

LIMIT: dict[str, Any] = {"agreed": "limit", "spending_limit_minor": 9000}
FEE: dict[str, Any] = {"agreed": "fee"}
VIDEO: dict[str, Any] = {"cable": "five-wire with screen", "display": "flat screen, 2019", "region": "60 Hz"}


def customers(house: House) -> dict[str, Customer]:
    """Write down the invented customers."""
    told = [
        ("ada", "Ada Kowalczyk", "ada@post.example", "+1 202 555 0177"),
        ("bao", "Trần Bảo", "bao@post.example", ""),
        ("milo", "Milo Ferreira", "milo@post.example", ""),
        ("sunniva", "Sunniva Dahl", "sunniva@post.example", "+1 202 555 0121"),
        ("leila", "ليلى منصور", "leila@post.example", ""),
    ]
    return {
        key: add_customer(actor=house.counter, name=name, email=email, phone=phone, notice_consent=True)
        for key, name, email, phone in told
    }


def stock_the_floor(house: House) -> Unit:
    """Bring the demo's units to where they are, and return the one whose customer's link the demo prints."""
    people = customers(house)
    _gone_and_ready(house, people)
    _on_the_benches(house, people)
    asked = _asked(house, people)
    _declined_and_own(house, people)
    _at_the_counter(house, people)
    return asked


def _gone_and_ready(house: House, people: dict[str, Customer]) -> None:
    """One that was collected, one that waits to be."""
    collected = Journey(house, days_ago=24, seed=1)
    collected.arrive(people["bao"], "firefly", ["battery"], serial="FF-20931", complaint="Forgets its saves", **LIMIT)
    collected.take_in().quote().answer(approve=True).start(Move.START_WORK, 0).open_case().work().passes().leaves()

    ready = Journey(house, days_ago=9, seed=2)
    ready.arrive(people["sunniva"], "lantern", ["recap"], serial="QL-118", complaint="Dark picture, hum", **FEE)
    ready.take_in().start(Move.START_DIAGNOSIS, 0).open_case().look_inside("QL-B1").quote().answer(approve=True)
    ready.start(Move.START_WORK, 0).work().passes()


def _on_the_benches(house: House, people: dict[str, Customer]) -> None:
    """One that came back from a test, one in the middle of its sheet, one parked for parts."""
    tested = Journey(house, days_ago=7, seed=3)
    tested.arrive(people["milo"], "lantern", ["recap", "regulator"], complaint="Dead, no lamp", **FEE)
    tested.take_in().start(Move.START_DIAGNOSIS, 1).open_case().look_inside("QL-B2").quote().answer(approve=True)
    tested.start(Move.START_WORK, 1).work()
    with tested.at(2):
        testing.fail_test(
            actor=house.technician, unit_id=tested.unit.id, text="Left sound channel cuts out when it is warm."
        )  # fmt: skip
    tested.work()

    worked = Journey(house, days_ago=5, seed=4)
    worked.arrive(
        people["bao"], "lantern", ["recap", "video-board"], serial="QL-377", complaint="Rolling picture", **FEE, **VIDEO
    )
    worked.take_in().start(Move.START_DIAGNOSIS, 1).open_case().look_inside("QL-B2").quote().answer(approve=True)
    worked.until(hours_ago=1.6).start(Move.START_WORK, 0, hours=0).ticks(9)

    waiting = Journey(house, days_ago=4, seed=5)
    waiting.arrive(
        people["leila"], "vesper", ["recap"], serial="TV-0925", complaint="Smells warm after ten minutes", **FEE
    )
    waiting.take_in().start(Move.START_DIAGNOSIS, 2).open_case().look_inside("TV-041").quote().answer(approve=True)
    waiting.start(Move.START_WORK, 2).ticks(3)
    with waiting.at(1):
        due = clock.day_of(clock.now(), "UTC") + timedelta(days=6)
        bench.park(
            actor=house.technician, unit_id=waiting.unit.id, text="two 470 µF cans, 10 mm", hold="parts", due_on=due
        )  # fmt: skip


def _asked(house: House, people: dict[str, Customer]) -> Unit:
    """One by mail whose quote waits for an answer."""
    asked = Journey(house, days_ago=2.2, seed=6)
    asked.arrive(people["ada"], "lantern", ["recap", "video-board", "clean"], serial="QL-204", by_mail=True,
                 complaint="Picture fades after a while", came_with="mains adapter, one controller, box",
                 condition="Scratches on the lid, one rubber foot missing", **FEE, **VIDEO)  # fmt: skip
    with asked.at(0.1):
        parcel = {"carrier": "Coastal Post", "tracking": "CP 0042 118"}
        intake.record_arrival(actor=house.counter, unit_id=asked.unit.id, declared_minor=12000, **parcel)
        asked.picture("packing_in", "parcel")
    asked.take_in().start(Move.START_DIAGNOSIS, 1).open_case().look_inside("QL-B2").quote(postage_minor=1450)

    return asked.unit


def _declined_and_own(house: House, people: dict[str, Customer]) -> None:
    """One to close up and give back, one bought to restore and sell."""
    declined = Journey(house, days_ago=3, seed=7)
    declined.arrive(people["milo"], "firefly", ["battery"], complaint="Wet inside, once fell into a pond", **FEE)
    with declined.at(0.1):
        units.add_finding(actor=house.counter, unit_id=declined.unit.id, kind="liquid", text="White crust at the slot")
    declined.take_in().start(Move.START_DIAGNOSIS, 0).open_case().look_inside("FF-2").quote()
    declined.answer(approve=False, reason="More than it is worth to me")

    own = Journey(house, days_ago=1.5, seed=8).arrive(None, "vesper", ["recap"], serial="TV-1140")
    with own.at(0.1):
        units.add_cost(actor=house.counter, unit_id=own.unit.id, text="Bought at a house clearance", amount_minor=3500)
    own.take_in()


def _at_the_counter(house: House, people: dict[str, Customer]) -> None:
    """One just written up, one announced by mail."""
    fresh = Journey(house, days_ago=0.08, seed=9)
    fresh.arrive(people["sunniva"], "firefly", ["clean"], complaint="Sticky buttons", **LIMIT)

    with clock.ago(timedelta(hours=3)):
        intake.announce(
            actor=Actor(role=Role.STRANGER, address="192.0.2.20"), name="Noor de Wit", email="noor@post.example",
            phone="", device="Quillon Lantern", complaint="Only a grey picture",
        )  # fmt: skip
