"""How a unit's state reads to its customer: where it is, when it is done, what it costs, what to do now."""

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from shop.books.queries import Due
from shop.core import money
from shop.core.models import ShopProfile
from shop.core.reader import reader_locale
from shop.floor.story import long_day
from shop.quotes.models import QuoteVersion
from shop.quotes.queries import ShownQuote
from shop.units.models import Hold, Outcome, Stage, Unit
from shop.work import order, outline

_AT_BENCH: dict[str, Promise] = {
    outline.OPEN: gettext_lazy("being opened"),
    outline.DISCHARGE: gettext_lazy("being made safe"),
    order.REMOVE: gettext_lazy("old parts are coming out"),
    order.CLEAN_PADS: gettext_lazy("the board is being cleaned"),
    order.REPAIR: gettext_lazy("damage is being mended"),
    order.FIT: gettext_lazy("new parts are going in"),
    order.SOLDER: gettext_lazy("new parts are being soldered"),
    order.WIRE: gettext_lazy("wires are being laid"),
    outline.SERVICE: gettext_lazy("being worked on"),
    outline.CLEAN: gettext_lazy("being cleaned"),
    outline.DRY: gettext_lazy("drying"),
    outline.JOINTS: gettext_lazy("every joint is being checked"),
    outline.LOOK_AGAIN: gettext_lazy("a second pair of eyes looks at it"),
    outline.FIRST_POWER: gettext_lazy("first power after the work"),
    outline.CLOSE: gettext_lazy("being closed up"),
    outline.COUNT: gettext_lazy("its screws are being counted back in"),
}
# Codes that say nothing to a customer read as the nearest of those above.
_LIKE = {
    order.SAVE_DATA: outline.OPEN, outline.UNPLUG: outline.OPEN, outline.TEST_BEFORE: outline.OPEN,
    order.SHIELD: order.REMOVE, order.NEUTRALISE: order.CLEAN_PADS, order.WASH: order.CLEAN_PADS,
    order.TRIM_LEGS: order.REMOVE, order.REFRESH: order.REMOVE, order.HEATSINK_OFF: order.REMOVE,
    order.CLEAR_HOLES: order.CLEAN_PADS, order.POLARITY: order.FIT, order.TRIM: order.SOLDER,
    order.CUT_LEG: order.WIRE, order.HEATSINK_FIX: order.FIT, order.HEATSINK_ON: order.FIT,
    outline.MEND: order.REPAIR, outline.RESISTANCE: outline.FIRST_POWER, outline.OPEN_READINGS: outline.FIRST_POWER,
}  # fmt: skip


def where(unit: Unit, held: tuple[str, ...], deposit_minor: int = 0) -> str:
    """Answer the customer's first question. held are the kinds of the open holds, deposit_minor is what is missing."""
    if unit.outcome:
        return _("It has left the shop: %(outcome)s.") % {"outcome": Outcome(unit.outcome).label}
    if Hold.Kind.APPROVAL in held:
        return _("With us, waiting for your answer to the quote.")
    if deposit_minor and unit.before_bench:
        return _("With us, waiting for your deposit.")
    if others := [kind for kind in held if kind != Hold.Kind.DEPOSIT]:
        return _("With us, on hold for: %(why)s.") % {"why": Hold.Kind(others[0]).label}
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


def present_step(unit: Unit, code: str, done: int, steps: int) -> str:
    """Say what is being done at the bench now, and how far it is; empty away from the bench."""
    if unit.stage != Stage.BENCH or unit.outcome or not steps:
        return ""
    doing = _AT_BENCH.get(_LIKE.get(code, code), _AT_BENCH[outline.SERVICE])
    facts = {"doing": doing, "done": done, "steps": steps}
    return (
        ngettext(
            "Now: %(doing)s. %(done)s of %(steps)s step is done.",
            "Now: %(doing)s. %(done)s of %(steps)s steps are done.",
            steps,
        )
        % facts
    )


def when(unit: Unit, quote: ShownQuote | None, deposit_minor: int) -> str:
    """Answer the second question, with what the date means. deposit_minor is what is missing of a deposit."""
    if unit.outcome or unit.stage == Stage.PICKUP:
        return _("Done.")
    if unit.promised_on is None:
        if deposit_minor and unit.before_bench:
            return _("We name a day when your deposit is here.")
        agreed = quote is not None and quote.state == QuoteVersion.State.APPROVED
        return _("We are working out the day.") if agreed else _("We name a day once the work is agreed.")
    facts = {"day": long_day(unit.promised_on, reader_locale()), "percent": unit.promise_percent}
    return _("By %(day)s. We keep %(percent)s of 100 such dates, and write to you if it moves.") % facts


def cost(unit: Unit, due: Due, quote: ShownQuote | None, shop: ShopProfile) -> str:
    """Answer the third question."""
    if quote is not None and quote.open:
        return _quoted(due, quote)
    if due.total_minor:
        facts = {"total": _money(due.total_minor, due.currency), "due": _money(due.due_minor, due.currency)}
        paid = _("%(total)s in all, paid.") % facts
        return paid if due.due_minor <= 0 else _("%(total)s in all; %(due)s is open.") % facts
    if quote is not None:
        return _("See the quote below.")
    return _agreed_at_intake(unit, shop)


def _quoted(due: Due, quote: ShownQuote) -> str:
    facts = {"total": _money(quote.total_minor, quote.currency)}
    if due.total_minor:
        facts["agreed"] = _money(due.total_minor, due.currency)
        return _("%(agreed)s is agreed; %(total)s in all with the new quote below.") % facts
    return _("%(total)s in all, as quoted below.") % facts


def _agreed_at_intake(unit: Unit, shop: ShopProfile) -> str:
    if unit.agreed == Unit.Agreed.FEE:
        fee = _money(unit.agreed_fee_minor, shop.currency)
        if shop.fee_credited:
            return _("Looking at it costs %(fee)s before tax; it is not charged when you approve the quote.") % {
                "fee": fee
            }
        return _("Looking at it costs %(fee)s before tax.") % {"fee": fee}
    if unit.spending_limit_minor:
        limit = _money(unit.spending_limit_minor, shop.currency)
        return _("Up to %(limit)s in all, with tax, without asking you again.") % {"limit": limit}
    return _("Nothing is agreed yet. You will get a quote first.")


def _money(minor: int, currency: str) -> str:
    return money.show(minor, currency, reader_locale())


def do_next(unit: Unit, due: Due, quote: ShownQuote | None, deposit_minor: int, shop: ShopProfile) -> list[str]:
    """Say what the customer can do now, a sentence each, the most pressing first."""
    if unit.outcome:
        return _after_leaving(unit)
    if quote is not None and quote.open:
        return [_("Please read the quote and tell us yes or no. Nothing of it is done until you answer.")]
    if deposit_minor:
        return [_pay_deposit(unit, _money(deposit_minor, due.currency)), *_how_to_pay(shop)]
    if unit.stage != Stage.PICKUP:
        return [_("Nothing to do. We write to you when something changes.")]
    pay = _how_to_pay(shop) or [_("Pay at the counter when you collect it.")] if due.due_minor > 0 else []
    return [*pay, *_how_it_comes_back(unit, due, shop)]


def _pay_deposit(unit: Unit, amount: str) -> str:
    if unit.before_bench:
        return _("Please pay the deposit of %(deposit)s; we begin when it has arrived.") % {"deposit": amount}
    return _("Please pay the deposit of %(deposit)s.") % {"deposit": amount}


def _how_to_pay(shop: ShopProfile) -> list[str]:
    return [shop.payment_words] if shop.payment_words else []


def pay_link(shop: ShopProfile, number: str, minor: int, currency: str) -> str:
    """Return the shop's own page for paying this unit's amount, or "" where it has none.

    The link is the owner's; {number} and {amount} in it are filled in, and nothing else of it is touched.
    """
    amount = str(money.to_major(minor, currency))
    return shop.payment_link.replace("{number}", number).replace("{amount}", amount)


def _how_it_comes_back(unit: Unit, due: Due, shop: ShopProfile) -> list[str]:
    if unit.by_mail:
        return [_("We send it to you once it is paid.") if due.due_minor > 0 else _("We send it to you.")]
    there = ", ".join(part for part in (shop.street, shop.town) if part)
    come = _("Come by and show the code below at the counter.")
    return [come, _("You find us here: %(there)s") % {"there": there}] if there else [come]


def _after_leaving(unit: Unit) -> list[str]:
    words = [_("Keep this page: it is your record of the work.")]
    if unit.outcome == Outcome.SHIPPED:
        words.insert(0, _("Let it come to room temperature before you switch it on: moisture inside could do harm."))
    return words
