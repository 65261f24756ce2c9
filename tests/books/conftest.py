"""A unit that is ready to be paid and fetched, and what its work comes to."""

from datetime import date

import pytest
from django.db import transaction

from shop.boards.models import DeviceModel
from shop.books.models import Invoice
from shop.books.steps import issue_invoice
from shop.core import clock
from shop.core.actor import SYSTEM
from shop.core.locks import lock
from shop.core.profile import profile
from shop.ledger.tax import TaxClass, TaxRules
from shop.people.models import Customer
from shop.quotes.content import answer, canonical, content_of, priced, sha256, totals_of
from shop.quotes.models import Decision, QuoteLine, QuoteVersion
from shop.quotes.pricing import Line, Totals, price
from shop.units.models import Unit

WORK = (
    Line("Recap", "labour", 1, 6000),
    Line("Capacitor, 10 µF, 35 V", "part", 12, 45),
    Line("For the long wait", "discount", 1, -540),
    Line("Return postage", "postage", 1, 900, tax_class=TaxClass.NONE),
)


@pytest.fixture
def unit(lantern: DeviceModel, bao: Customer) -> Unit:
    """Bảo's Lantern, waiting at pickup."""
    return Unit.objects.create(number=1042, customer=bao, model=lantern, stage="pickup")


@pytest.fixture
def own_unit(lantern: DeviceModel) -> Unit:
    """A Lantern that the shop bought to restore and sell."""
    return Unit.objects.create(number=1043, model=lantern, stage="pickup")


def totals(*lines: Line, currency: str = "USD", rate_millipercent: int = 8000) -> Totals:
    """What lines come to; without any, the ordinary work: 6900 net, 480 tax, 7380 in all."""
    return price(lines or WORK, TaxRules(rate_millipercent, 0, currency))


def bill(unit: Unit, *lines: Line, currency: str = "USD") -> Invoice:
    """Issue the unit's invoice as a flow would."""
    with transaction.atomic():
        locked = lock(Unit, pk=unit.pk)
        return issue_invoice(actor=SYSTEM, unit=locked, totals=totals(*lines, currency=currency), tax_name="Sales tax")


def approve(unit: Unit, total_minor: int, *, currency: str = "USD", edition: int = 1) -> QuoteVersion:
    """Have an edition of the unit's quote approved at a total; the one before it is replaced."""
    QuoteVersion.objects.filter(unit=unit, state="approved").update(state="replaced")
    quote = QuoteVersion.objects.create(
        unit=unit, edition=edition, currency=currency, tax_name="Sales tax", tax_rate_millipercent=8000,
        sent_at=clock.now(), valid_until=date(2099, 12, 31),
    )  # fmt: skip
    line = QuoteLine.objects.create(
        quote=quote, position=1, kind="labour", words="As agreed", unit_minor=total_minor, tax_class="none"
    )
    shown = content_of(quote, [line], unit, profile())
    quote.content, quote.state = canonical(shown), "approved"
    quote.content_sha256 = sha256(quote.content)
    quote.save()
    said = answer(
        shown, kind="approved", taken=(), agreed=(), totals=totals_of(quote, [priced(line)]), decided_at="2026-03-10"
    )
    Decision.objects.create(
        quote=quote, kind="approved", content=said, content_sha256=sha256(said), total_minor=total_minor,
        by_role="customer",
    )  # fmt: skip
    return quote
