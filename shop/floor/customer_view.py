"""What a customer sees of their unit: the same data for the page and for the link-scoped endpoint."""

from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from shop.books.queries import Due, due_of
from shop.core.models import ShopProfile, TrailEntry
from shop.core.profile import profile
from shop.core.reader import reader_locale
from shop.core.reasons import Refused
from shop.core.tagcode import printed
from shop.floor import customer_words as words
from shop.floor.customer_reading import Reading, read_one
from shop.floor.forms import Ticked
from shop.floor.story import spoken, trace_of
from shop.floor.trace import Drawing
from shop.floor.warranty import warranty_until
from shop.quotes.changes import LineChange
from shop.quotes.models import Decision, Question, QuoteVersion
from shop.quotes.shown import ShownQuote, changed_since, shown
from shop.units import links
from shop.units.models import Stage, Unit, UnitPhoto


@dataclass(frozen=True, slots=True)
class Other:
    """Another unit of the same customer, in one line."""

    number: str
    model: str
    where: str
    left: bool


@dataclass(frozen=True, slots=True)
class CustomerView:
    """One unit as its customer sees it. Money is minor units of currency; times are UTC.

    changes say what the quote changes against the edition before, whose number is changed_from; decision is the
    customer's last answer; before and after are the pictures to compare.
    """

    number: str
    tag: str
    band_digits: str
    model: str
    shop: ShopProfile
    stage: str
    where: str
    step: str
    when: str
    cost: str
    do_next: tuple[str, ...]
    trace: Drawing
    trace_words: str
    promised_on: date | None
    promise_percent: int | None
    quote: ShownQuote | None
    changes: tuple[LineChange, ...]
    changed_from: int
    decision: Decision | None
    decided_edition: int
    due: Due
    deposit_minor: int
    pickup_code: str
    photos: tuple[UnitPhoto, ...]
    before: UnitPhoto | None
    after: UnitPhoto | None
    questions: tuple[Question, ...]
    others: tuple[Other, ...]
    warranty_until: date | None
    zone: str
    changed_at: datetime
    left: bool
    version: int


def view_of(unit: Unit) -> CustomerView:
    """Return the customer's view of one unit."""
    return view_in(read_one(unit.pk))


def view_in(reading: Reading, ticked: Ticked | None = None) -> CustomerView:
    """Return the customer's view of what was read, the options of its quote as they are ticked on the customer's form.

    What was ticked on a form of another edition, or is not on the quote, is let go. No query but the profile's.
    """
    shop, unit = profile(), reading.unit
    zone = (unit.customer.time_zone if unit.customer else "") or shop.time_zone
    drawing = trace_of(unit, list(reading.entries))
    held = open_holds(reading.entries)
    present = _present(reading.editions)
    quote = _quote(present, ticked) if present else None
    changes, changed_from = changed_since(present, reading.editions) if present and quote and quote.open else ((), 0)
    decided = next((each for each in reading.editions if hasattr(each, "decision")), None)
    due = due_of(unit, reading.editions, reading.money)
    before, after = _pair(reading.photos)
    return CustomerView(
        number=str(unit),
        tag=printed(reading.tag_code),
        band_digits=unit.band_digits,
        model=str(unit.model),
        shop=shop,
        stage=unit.stage,
        where=words.where(unit, held, reading.deposit_minor),
        step=words.present_step(unit, reading.step_code, reading.steps_done, reading.steps_all),
        when=words.when(unit, quote, reading.deposit_minor),
        cost=words.cost(unit, due, quote, shop),
        do_next=tuple(words.do_next(unit, due, quote, reading.deposit_minor, shop)),
        trace=drawing,
        trace_words=spoken(drawing, zone, reader_locale()),
        promised_on=unit.promised_on,
        promise_percent=unit.promise_percent,
        quote=quote,
        changes=changes,
        changed_from=changed_from,
        decision=decided.decision if decided else None,
        decided_edition=decided.edition if decided else 0,
        due=due,
        deposit_minor=reading.deposit_minor,
        pickup_code=_pickup_code(unit, reading.link_id),
        photos=reading.photos,
        before=before,
        after=after,
        questions=reading.questions,
        others=tuple(_other(each) for each in reading.others),
        warranty_until=warranty_until(unit),
        zone=zone,
        changed_at=reading.entries[-1].recorded_at,
        left=bool(unit.outcome),
        version=unit.version,
    )


def open_holds(entries: Iterable[TrailEntry]) -> tuple[str, ...]:
    """Return the kinds of the holds that are open at the end of a story, the oldest first."""
    held: dict[str, None] = {}
    for entry in entries:
        if entry.what == "held":
            held.setdefault(entry.after)
        elif entry.what == "hold_lifted":
            held.pop(entry.before, None)
    return tuple(held)


def _present(editions: Iterable[QuoteVersion]) -> QuoteVersion | None:
    """Return the edition that the customer is to look at: the sent one, else the approved one."""
    state = QuoteVersion.State
    by_state = {each.state: each for each in editions if each.state in (state.SENT, state.APPROVED)}
    return by_state.get(state.SENT) or by_state.get(state.APPROVED)


def _quote(present: QuoteVersion, ticked: Ticked | None) -> ShownQuote:
    if ticked and present.state == QuoteVersion.State.SENT and ticked.shown_sha256 == present.content_sha256:
        with suppress(Refused):
            return shown(present, taken=ticked.line_ids)
    return shown(present)


def _pair(photos: Iterable[UnitPhoto]) -> tuple[UnitPhoto | None, UnitPhoto | None]:
    """Return the newest picture of the screen before the work and after it, where there are both."""
    purpose = UnitPhoto.Purpose
    newest = {photo.purpose: photo for photo in photos}
    before, after = newest.get(purpose.BEFORE), newest.get(purpose.AFTER)
    return (before, after) if before and after else (None, None)


def _pickup_code(unit: Unit, link_id: UUID | None) -> str:
    """Return the code that releases the unit at the counter, while it is there to be collected."""
    waits = unit.stage == Stage.PICKUP and not unit.outcome and not unit.by_mail
    return links.code_of(link_id) if waits and link_id else ""


def _other(unit: Unit) -> Other:
    return Other(str(unit), str(unit.model), words.where(unit, ()), bool(unit.outcome))
