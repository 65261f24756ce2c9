"""Units of the demo, each brought to where it is by the same verbs that the pages call, days ago and hours apart."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

from shop.boards.editions import latest
from shop.boards.models import BoardRevision
from shop.books.queries import amount_due
from shop.core import clock
from shop.core.actor import SYSTEM, Actor, Role
from shop.floor.demo.pictures import photo
from shop.floor.demo.stock_in_trade import House
from shop.floor.flows import bench, days, inside, intake, money, pickup, quote, testing
from shop.floor.flows.intake import WriteUp
from shop.floor.stages import Move
from shop.people.models import Customer
from shop.quotes.actions import draft_quote
from shop.quotes.models import QuoteLine, QuoteVersion
from shop.quotes.queries import present_quote, shown
from shop.testing.queries import procedure
from shop.units import actions as units
from shop.units.models import Unit
from shop.work.fastener_actions import fasteners_back
from shop.work.outline import CLOSE_UP
from shop.work.queries import fasteners_missing, known_screws, open_steps

_YES_TO_ALL = {"save_data": True, "pictures": True, "work": True}


class Journey:
    """Walks one invented unit through the shop; each step happens a few hours after the one before it."""

    def __init__(self, house: House, *, days_ago: float, seed: int) -> None:
        self.house, self.seed = house, seed
        self.before = timedelta(days=days_ago)
        self.unit: Unit

    def at(self, hours: float) -> Any:
        """Let the block happen so many hours after the step before, and never in the future."""
        self.before = max(self.before - timedelta(hours=hours), timedelta(minutes=1))
        return clock.ago(self.before)

    def until(self, *, hours_ago: float) -> "Journey":
        """Let time pass until so many hours ago."""
        self.before = timedelta(hours=hours_ago)
        return self

    def arrive(self, customer: Customer | None, model: str, services: list[str], **given: Any) -> "Journey":
        """Write the unit up, take its pictures, and take it in."""
        chosen = tuple(self.house.services[code].id for code in services)
        with self.at(0):
            write_up = WriteUp(
                customer_id=customer.id if customer else None,
                model_id=self.house.models[model].id,
                service_ids=chosen,
                consents=_YES_TO_ALL if customer else {},
                **given,
            )
            self.unit = intake.write_up(actor=self.house.counter, given=write_up)
            self.picture("condition", "case")
        return self

    def picture(self, purpose: str, kind: str) -> None:
        """Take a picture of the unit."""
        taken = photo(self.house.technician, kind, self.seed)
        units.add_unit_photo(
            actor=self.house.technician, unit_id=self.unit.id, photo_id=taken.id, purpose=purpose
        )  # fmt: skip

    def take_in(self) -> "Journey":
        """Put it on a shelf."""
        with self.at(0.3):
            intake.take_in(actor=self.house.counter, unit_id=self.unit.id)
        return self

    def start(self, move: Move, bench_index: int, *, hours: float = 5) -> "Journey":
        """Take it to a bench."""
        with self.at(hours):
            place = self.house.benches[bench_index]
            bench.start(actor=self.house.technician, unit_id=self.unit.id, move=move, bench_id=place.id)
        return self

    def ticks(self, count: int | None = None) -> "Journey":
        """Tick so many open steps, or all."""
        for step in open_steps(self.unit)[:count]:
            with self.at(0.1):
                inside.tick_step(
                    actor=self.house.technician, unit_id=self.unit.id, step_id=step.id, **self._evidence(step.evidence)
                )  # fmt: skip
        return self

    def _evidence(self, wanted: str) -> dict[str, Any]:
        """Return what a step asks for with its tick."""
        if wanted == "photo":
            return {"photo_id": photo(self.house.technician, "board", self.seed).id}
        figures = {"volts": Decimal("0.2"), "ohms": Decimal(480)}
        return {"value": figures[wanted]} if wanted else {}

    def open_case(self) -> "Journey":
        """Count the fasteners into their bag."""
        with self.at(0.2):
            actor, known = self.house.technician, known_screws(self.unit)
            for screw in known:
                inside.take_group_out(actor=actor, unit_id=self.unit.id, label=screw.label)
            if not known:
                inside.take_fasteners_out(actor=actor, unit_id=self.unit.id, where="rear edge", kind="cross", count=4)
        return self

    def look_inside(self, marking: str) -> "Journey":
        """Name the revision, photograph the board, measure, and finish the diagnosis."""
        actor = self.house.technician
        with self.at(0.4):
            revision = BoardRevision.objects.get(marking=marking)
            known = latest(revision)
            variant = known.variants[-1] if known and known.variants else ""
            inside.name_revision(actor=actor, unit_id=self.unit.id, revision_id=revision.id, variant=variant)
            self.picture("board", "board")
            self.measure("4.61")
        self.ticks()
        with self.at(0.3):
            bench.finish_diagnosis(actor=actor, unit_id=self.unit.id)
        return self

    def measure(self, volts: str) -> None:
        """Take the readings of the present stage."""
        self.unit.refresh_from_db()
        phase = "open" if self.unit.stage == "bench" else "closed"
        for point in procedure(self.unit, phase):
            figures: dict[str, Any] = {"answer": True}
            if point.quantity:
                figures = {"value": Decimal(volts), "uncertainty": Decimal("0.02"), "instrument": "bench meter"}
            testing.take_reading(actor=self.house.technician, unit_id=self.unit.id, point_id=point.id, **figures)

    def quote(self, postage_minor: int | None = None) -> "Journey":
        """Draft the quote and send it."""
        with self.at(1):
            draft = draft_quote(actor=self.house.counter, unit_id=self.unit.id, postage_minor=postage_minor)
            quote.send_quote(actor=self.house.counter, quote_id=draft.id, version=draft.version)
        return self

    def answer(self, *, approve: bool, hours: float = 9, reason: str = "") -> "Journey":
        """Let the customer answer, taking every option."""
        with self.at(hours):
            sent: QuoteVersion | None = present_quote(self.unit.id)
            assert sent is not None  # the step before sent it
            options = QuoteLine.objects.filter(quote=sent, optional=True).values_list("id", flat=True)
            quote.decide_quote(
                actor=Actor(role=Role.CUSTOMER, id="demo", device="demo"),
                quote_id=sent.id,
                approve=approve,
                taken_line_ids=tuple(options) if approve else (),
                agreed=tuple(term.code for term in shown(sent).terms_asked),
                shown_sha256=sent.content_sha256,
                reason=reason,
            )
            if approve:
                # The floor is stocked in one transaction: after its end would be days after the answer.
                days.approved(actor=SYSTEM, subject_id=sent.id)
        return self

    def work(self) -> "Journey":
        """Do everything on the sheet, close and count, and send it to testing."""
        actor = self.house.technician
        with self.at(1):
            self.measure("5.02")
        self.ticks(len([step for step in open_steps(self.unit) if step.code not in CLOSE_UP]))
        with self.at(0.3):
            for group in fasteners_missing(self.unit):
                fasteners_back(actor=actor, unit_id=self.unit.id, group_id=group.id, count=group.missing)
        self.ticks()
        with self.at(0.2):
            bench.finish_bench(actor=actor, unit_id=self.unit.id)
        return self

    def passes(self) -> "Journey":
        """Pass the closed tests."""
        with self.at(1.5):
            self.measure("5.02")
            self.picture("after", "case")
            testing.pass_test(actor=self.house.technician, unit_id=self.unit.id)
        return self

    def leaves(self) -> "Journey":
        """Pay and collect."""
        actor = self.house.counter
        with self.at(6):
            pickup.bill(actor=actor, unit_id=self.unit.id)
            due = amount_due(self.unit)
            money.take_payment(actor=actor, unit_id=self.unit.id, amount_minor=due.due_minor, method="card")
            seen: dict[str, Any] = {"check_kind": "identity", "document": "driving licence"}
            pickup.hand_over(actor=actor, unit_id=self.unit.id, outcome="collected", **seen)
        return self
