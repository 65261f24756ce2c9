"""What a customer sees of their unit: the same data for the page and for the link-scoped endpoint."""

from dataclasses import dataclass
from datetime import date, datetime

from django.utils.translation import gettext as _

from shop.books.queries import Due, amount_due
from shop.core import money
from shop.core.models import ShopProfile
from shop.core.profile import profile
from shop.floor.story import long_day, spoken, trace_of
from shop.floor.trace import Drawing
from shop.quotes.queries import ShownQuote, present_quote, shown
from shop.units import links, queries
from shop.units.models import Outcome, Stage, Unit, UnitPhoto


@dataclass(frozen=True, slots=True)
class CustomerView:
    """One unit as its customer sees it. Money is minor units of currency; times are UTC."""

    number: str
    tag: str
    band_digits: str
    model: str
    shop: ShopProfile
    stage: str
    where: str
    when: str
    cost: str
    do_next: str
    trace: Drawing
    trace_words: str
    promised_on: date | None
    promise_percent: int | None
    quote: ShownQuote | None
    due: Due
    pickup_code: str
    photos: tuple[UnitPhoto, ...]
    zone: str
    changed_at: datetime
    left: bool
    version: int


def view_of(unit: Unit) -> CustomerView:
    """Return the customer's view of a unit fetched with `units.queries.one`."""
    shop = profile()
    entries = list(queries.history(unit))
    zone = (unit.customer.time_zone if unit.customer else "") or shop.time_zone
    drawing = trace_of(unit, entries)
    quote = present_quote(unit.id)
    due = amount_due(unit)
    return CustomerView(
        number=str(unit),
        tag=queries.tag_of(unit).printed_code,
        band_digits=unit.band_digits,
        model=str(unit.model),
        shop=shop,
        stage=unit.stage,
        where=_where(unit),
        when=_when(unit, shop),
        cost=_cost(unit, due, quote, shop),
        do_next=_do_next(unit, due, quote, shop),
        trace=drawing,
        trace_words=spoken(drawing, zone, shop.locale),
        promised_on=unit.promised_on,
        promise_percent=unit.promise_percent,
        quote=shown(quote) if quote else None,
        due=due,
        pickup_code=_pickup_code(unit),
        photos=tuple(queries.photos_of(unit, for_customer=True)),
        zone=zone,
        changed_at=entries[-1].recorded_at,
        left=bool(unit.outcome),
        version=unit.version,
    )


def _pickup_code(unit: Unit) -> str:
    """Return the code that releases the unit at the counter, while it is there to be collected."""
    waits = unit.stage == Stage.PICKUP and not unit.outcome and not unit.by_mail
    return links.pickup_code(unit) if waits else ""


def _waits_for_answer(unit: Unit) -> bool:
    return any(hold.kind == "approval" for hold in getattr(unit, "open_holds", []))


def _where(unit: Unit) -> str:
    """Answer the customer's first question."""
    if unit.outcome:
        return _("It has left the shop: %(outcome)s.") % {"outcome": Outcome(unit.outcome).label}
    if _waits_for_answer(unit):
        return _("With us, waiting for your answer to the quote.")
    held = getattr(unit, "open_holds", [])
    if held:
        return _("With us, on hold for: %(why)s.") % {"why": held[0].get_kind_display()}
    words = {
        Stage.INTAKE: _("With us. It is being written up."),
        Stage.QUEUE: _("With us, in the queue for a bench."),
        Stage.BENCH: _("On a bench, being worked on."),
        Stage.TESTING: _("Repaired. It is being tested now."),
        Stage.PICKUP: _("Ready to go back to you."),
    }
    if unit.stage == Stage.BENCH and unit.visit == "diagnosis":
        return _("On a bench, being looked at.")
    if unit.ending:
        words[Stage.QUEUE] = _("With us. It will be closed up and given back.")
        words[Stage.BENCH] = words[Stage.TESTING] = _("With us, being closed up.")
    return words[Stage(unit.stage)]


def _when(unit: Unit, shop: ShopProfile) -> str:
    """Answer the second question, with what the date means."""
    if unit.outcome or unit.stage == Stage.PICKUP:
        return _("Done.")
    if unit.promised_on is None:
        return _("We name a day once the work is agreed.")
    facts = {"day": long_day(unit.promised_on, shop.locale), "percent": unit.promise_percent}
    return _("By %(day)s. We keep %(percent)s of 100 such dates.") % facts


def _cost(unit: Unit, due: Due, quote: object, shop: ShopProfile) -> str:
    """Answer the third question."""
    if due.total_minor:
        facts = {
            "total": money.show(due.total_minor, due.currency, shop.locale),
            "due": money.show(due.due_minor, due.currency, shop.locale),
        }
        return (
            _("%(total)s in all, paid.") % facts
            if due.due_minor <= 0
            else _("%(total)s in all; %(due)s is open.") % facts
        )
    if quote is not None:
        return _("See the quote below.")
    if unit.agreed == Unit.Agreed.FEE:
        fee = money.show(unit.agreed_fee_minor, shop.currency, shop.locale)
        return _("Looking at it costs %(fee)s before tax; it is not charged when you approve the quote.") % {"fee": fee}
    if unit.spending_limit_minor:
        limit = money.show(unit.spending_limit_minor, shop.currency, shop.locale)
        return _("Up to %(limit)s in all, with tax, without asking you again.") % {"limit": limit}
    return _("Nothing is agreed yet. You will get a quote first.")


def _do_next(unit: Unit, due: Due, quote: object, shop: ShopProfile) -> str:
    """Say what the customer can do now."""
    if unit.outcome:
        return _("Keep this page: it is your record of the work.")
    if _waits_for_answer(unit) and quote is not None:
        return _("Please read the quote and tell us yes or no.")
    if unit.stage == Stage.PICKUP and due.due_minor > 0:
        return shop.payment_words or _("Pay at the counter when you collect it.")
    if unit.stage == Stage.PICKUP:
        return _("We send it to you.") if unit.by_mail else _("Come by and show the code below at the counter.")
    return _("Nothing to do. We write to you when something changes.")
