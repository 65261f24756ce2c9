"""The demo's shop itself: its people, places, library, prices and test procedure. All invented."""

from dataclasses import dataclass
from datetime import time
from decimal import Decimal
from uuid import UUID

from shop.boards.actions import add_model, add_revision
from shop.boards.models import DeviceModel, Service
from shop.boards.service_actions import add_service
from shop.core.actor import Actor, Role
from shop.core.profile import change_profile
from shop.floor.demo.boards import lay_out_boards
from shop.parts.actions import add_part, add_supplier
from shop.people.actions import actor_of, add_place, add_staff
from shop.people.models import Place, User
from shop.planning import actions as planning
from shop.testing.actions import add_test_point
from shop.testing.models import TestPoint

PASSWORD = "a long wick burns slow"  # noqa: S105 - printed for everybody who starts the demo
SOAK = "Thirty minutes' soak"
SETUP = Actor(role=Role.OWNER, id="setup", name="Setup")


@dataclass(frozen=True, slots=True)
class House:
    """What the demo's units need of the shop."""

    owner: Actor
    technician: Actor
    counter: Actor
    models: dict[str, DeviceModel]
    services: dict[str, Service]
    benches: list[Place]


def furnish() -> House:
    """Set up the shop: profile, people, places, library and procedure."""
    change_profile(
        actor=SETUP,
        name="Brandt & Daughter",
        street="4 Ropewalk",
        town="Saltmarsh",
        email="desk@brandt.example",
        phone="+1 202 555 0143",
        currency="USD",
        locale="en-US",
        time_zone="America/New_York",
        tax_rate_millipercent=6000,
        tax_name="Sales tax",
        diagnosis_fee_minor=2500,
        digest_minutes=0,  # a day's work is shown within minutes here: each turn has a message of its own
        payment_words="Pay at the counter, or by transfer with your unit's number as the reference.",
        packing_words="Wrap the unit in two layers of soft padding, leave a hand's width of filling on all six sides, "
        "tape cables down, and take batteries and cards out. Never post a swollen or leaking battery.",
    )
    actors = [actor_of(person, device="demo") for person in _people()]
    models = _models()
    lay_out_boards(SETUP)
    services = _services()
    _procedure(models)
    _working_time(actors[1])
    return House(actors[0], actors[1], actors[2], models, services, _places())


def _people() -> list[User]:
    named = [
        ("ottilie", "Ottilie Brandt", "owner"),
        ("jun", "Jun Okafor", "technician"),
        ("pim", "Pim Halvorsen", "counter"),
    ]
    return [
        add_staff(actor=SETUP, username=username, name=name, role=role, password=PASSWORD)
        for username, name, role in named
    ]


def _working_time(technician: Actor) -> None:
    """Say when the technician works and what is done by nobody; the owner's hours are the usual ones."""
    jun = UUID(technician.id)
    for begins, ends in ((time(9), time(12, 30)), (time(13, 15), time(17, 30))):
        planning.add_shifts(actor=SETUP, technician_id=jun, weekdays=range(5), begins=begins, ends=ends)
    planning.set_skill(actor=SETUP, technician_id=jun, skill="fine soldering", percent=80)
    soak = TestPoint.objects.get(name=SOAK)
    planning.set_alone(actor=SETUP, minutes=30, point_id=soak.id)


def _places() -> list[Place]:
    for name, kind, capacity in (("Shelf A", "shelf", 8), ("Shelf B", "shelf", 8), ("Sealed box", "sealed", 2)):
        add_place(actor=SETUP, name=name, kind=kind, capacity=capacity)
    benches = [
        ("Bench 1", ["desoldering station", "hot air", "isolated mains"]),
        ("Bench 2", ["desoldering station", "microscope"]),
        ("Bench 3", ["video capture"]),
    ]
    return [
        add_place(actor=SETUP, name=name, kind="bench", capacity=2, equipment=equipment) for name, equipment in benches
    ]


def _models() -> dict[str, DeviceModel]:
    lantern = add_model(actor=SETUP, maker="Quillon", name="Lantern", fastener_count=6)
    vesper = add_model(actor=SETUP, maker="Tessaro", name="Vesper 16", mains_inside=True, fastener_count=8)
    pocket = add_model(actor=SETUP, maker="Quillon", name="Firefly", battery_inside=True, fastener_count=5)
    boards = [
        (lantern, "QL-B1", "No marking beside the slot; four large cans."),
        (lantern, "QL-B2", "Marked beside the cartridge slot; three large cans."),
        (vesper, "TV-041", "White print on the rear edge."),
        (pocket, "FF-2", "Marked under the battery cradle."),
    ]
    for model, marking, how_to_tell in boards:
        add_revision(actor=SETUP, model_id=model.id, marking=marking, how_to_tell=how_to_tell)
    return {"lantern": lantern, "vesper": vesper, "firefly": pocket}


def _services() -> dict[str, Service]:
    supplier = add_supplier(actor=SETUP, name="Harbour Components", lead_days=6)
    prices = [
        ("CAP-SET-QL", "Capacitor set, Lantern", 620, 1800),
        ("REG-5V", "5 V regulator, 1.5 A", 90, 450),
        ("VOB-2", "Video output board, 5-wire", 2100, 4200),
        ("CELL-HOLDER", "Holder for a coin cell", 40, 250),
    ]
    parts = {
        code: add_part(
            actor=SETUP, code=code, name=name, supplier_id=supplier.id, cost_minor=cost, price_minor=price, reorder_at=2
        ).id
        for code, name, cost, price in prices
    }
    recap = add_service(
        actor=SETUP, code="recap", name="Recap", minutes=90, minutes_spread=25, price_minor=6500, nature="replace",
        selects=["electrolytic"], equipment=["desoldering station"], parts={parts["CAP-SET-QL"]: 1},
        says="Every electrolytic capacitor is replaced by one that fits this board.",
        steps=["Remove the electrolytic capacitors", "Clear the holes", "Fit the new capacitors, lowest first"],
    )  # fmt: skip
    regulator = add_service(
        actor=SETUP, code="regulator", name="Regulator replacement", minutes=25, minutes_spread=5, price_minor=2000,
        nature="regulator", selects=["regulator"],
        parts={parts["REG-5V"]: 1}, says="The voltage regulator is replaced and gets fresh heat-sink paste.",
        steps=["Remove the regulator from its heat sink", "Fit the new regulator so that it sits right"],
    )  # fmt: skip
    video = add_service(
        actor=SETUP, code="video-board", name="Video output board", minutes=60, price_minor=5500, asks_video=True,
        optional_extra=True, nature="modification", cuts=["C23"], skill="fine soldering", equipment=["microscope"],
        wires=[
            {"colour": "red", "length_mm": 85, "start": "U8 output", "end": "board pad V"},
            {"colour": "white", "length_mm": 60, "start": "R3", "end": "board pad 1"},
            {"colour": "black", "length_mm": 70, "start": "ground at J2", "end": "board pad G"},
        ],
        cautions="Dress the wires away from the heat sink.", parts={parts["VOB-2"]: 1},
        says="A board that gives a sharper picture over your cable.",
        steps=["Fix the video output board with its spacer"],
    )  # fmt: skip
    clean = add_service(
        actor=SETUP, code="clean", name="Clean", minutes=30, price_minor=2500, optional_extra=True,
        says="Case and contacts are cleaned.", steps=["Clean the case", "Clean the contacts"],
    )  # fmt: skip
    battery = add_service(
        actor=SETUP, code="battery", name="Save battery", minutes=20, price_minor=1800, nature="battery",
        parts={parts["CELL-HOLDER"]: 1}, says="The save battery gets a holder and a fresh cell of the same kind.",
        steps=["Take the old cell out by its tabs", "Fit the holder, never solder to the cell", "Put in the cell"],
    )  # fmt: skip
    return {service.code: service for service in (recap, regulator, video, clean, battery)}


def _procedure(models: dict[str, DeviceModel]) -> None:
    """Set up the test points. Limits of the 5 V rail are ±5 %, as makers' sheets give for such a regulator."""
    low, high = Decimal("4.75"), Decimal("5.25")
    first = "Raise the supply slowly with the current limited; stop when it does not settle."
    add_test_point(
        actor=SETUP, phase="open", name="5 V rail", quantity="V", low=low, high=high, how=first, position=20,
        caution="Capacitors hold their charge: keep one hand away and discharge before you touch.",
    )  # fmt: skip
    add_test_point(
        actor=SETUP, phase="open", name="First power without smoke or heat", how=first, position=10,
        caution="Work on mains parts only with training and by your local electrical code.",
    )  # fmt: skip
    for position, name in enumerate(["Picture", "Sound", "Every port and button", SOAK], start=1):
        add_test_point(actor=SETUP, phase="closed", name=name, position=position * 10)
    add_test_point(
        actor=SETUP, phase="closed", name="Electrical safety test", model_id=models["vesper"].id, position=5,
        how="By whoever local rules allow to do it, before the unit goes back.",
        caution="Mains inside. This list does not replace training; follow your local electrical code.",
    )  # fmt: skip
