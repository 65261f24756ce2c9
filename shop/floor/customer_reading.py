"""What the customer's page reads, in four queries and one for the shop's profile, however long a story is.

A link opens every unit of the customer that it was given to: one address for all of them.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db.models import Count, OuterRef, Q, QuerySet, Subquery, Sum, UUIDField, Value
from django.db.models.functions import Coalesce

from shop.books.models import Invoice, Payment, PaymentRequest
from shop.books.queries import MoneySoFar
from shop.core.models import TrailEntry
from shop.core.profile import profile
from shop.core.reasons import Missing, Reason
from shop.quotes.models import Question, QuoteVersion
from shop.quotes.queries import shown_editions
from shop.quotes.questions import with_questions
from shop.units import links, queries
from shop.units.models import Bag, CustomerLink, Stage, Unit, UnitPhoto
from shop.work.models import JobStep


@dataclass(frozen=True, slots=True)
class Reading:
    """The unit that is looked at, the customer's other units, and the story so far.

    deposit_minor is what is asked for and open; step_code is the job sheet's next step, "" without one.
    """

    unit: Unit
    others: tuple[Unit, ...]
    tag_code: str
    link_id: UUID | None
    money: MoneySoFar
    deposit_minor: int
    step_code: str
    steps_done: int
    steps_all: int
    entries: tuple[TrailEntry, ...]
    editions: tuple[QuoteVersion, ...]
    photos: tuple[UnitPhoto, ...]
    questions: tuple[Question, ...]


def units_behind(token: str) -> list[Unit]:
    """Return the units that a link's secret opens, its own first, then the customer's others, newest first.

    Empty for a link that opens nothing. One query, beside the profile's.
    """
    return _behind(CustomerLink.objects.filter(token_hash=links.hash_of(token), revoked_at=None))


def units_behind_link(link: CustomerLink) -> list[Unit]:
    """Return the units that a link opens, as `units_behind` does."""
    return _behind(CustomerLink.objects.filter(pk=link.pk, revoked_at=None))


def _behind(link: QuerySet[CustomerLink]) -> list[Unit]:
    own = Subquery(link.values("unit_id")[:1], output_field=UUIDField())
    customer = Subquery(link.values("unit__customer_id")[:1])
    found = _with_sums(Unit.objects.filter(Q(pk=own) | Q(customer_id=customer))).annotate(linked=own)
    return sorted(found, key=_own_first)


def _own_first(unit: Any) -> tuple[bool, int]:
    return (unit.pk != unit.linked, -unit.number)


def read(units: Sequence[Unit], number: int | None = None) -> Reading:
    """Return what one of these units' pages shows: the first, or the one with this number. Three queries.

    Raises Missing for a number that is not among them, as for one that does not exist.
    """
    unit = next((each for each in units if number in (None, each.number)), None)
    if unit is None:
        raise Missing(Reason("missing", {"thing": "unit", "sought": f"{number:04d}"}))
    read_with: Any = unit
    entries, questions = with_questions(queries.history(unit))
    return Reading(
        unit=unit,
        others=tuple(each for each in units if each is not unit),
        tag_code=read_with.tag_code,
        link_id=read_with.link_id,
        money=MoneySoFar(read_with.currency, read_with.paid_minor, read_with.invoice_minor),
        deposit_minor=_deposit_open(read_with),
        step_code=read_with.step_code or "",
        steps_done=read_with.steps_done,
        steps_all=read_with.steps_all,
        entries=entries,
        editions=tuple(shown_editions(unit.pk)),
        photos=tuple(queries.photos_of(unit, for_customer=True)),
        questions=questions,
    )


def _deposit_open(read_with: Any) -> int:
    """Return what is missing of a deposit; once the work is done the bill takes its place."""
    if read_with.stage == Stage.PICKUP:
        return 0
    missing: int = (read_with.deposit_minor or 0) - read_with.paid_minor
    return max(0, missing)


def read_one(unit_id: UUID) -> Reading:
    """Return what one unit's page shows, without the customer's others. Raises Missing."""
    found = list(_with_sums(Unit.objects.filter(pk=unit_id)))
    if not found:
        raise Missing(Reason("missing", {"thing": "unit", "sought": unit_id}))
    return read(found)


def _with_sums(units: QuerySet[Unit]) -> QuerySet[Unit]:
    """Read with each unit, in the same query, what stands in other tables about its bag, its money and its steps."""
    steps = JobStep.objects.filter(unit=OuterRef("pk"), retired_at=None).order_by("position")
    invoice = Invoice.objects.filter(unit=OuterRef("pk"))
    approved = QuoteVersion.objects.filter(unit=OuterRef("pk"), state=QuoteVersion.State.APPROVED)
    asked = PaymentRequest.objects.filter(unit=OuterRef("pk"), settled_at=None, waived_at=None)
    return units.select_related("model", "customer").annotate(
        tag_code=Subquery(Bag.objects.filter(unit=OuterRef("pk"), kind=Bag.Kind.UNIT).values("code")[:1]),
        link_id=Subquery(CustomerLink.objects.filter(unit=OuterRef("pk"), revoked_at=None).values("id")[:1]),
        invoice_minor=Subquery(invoice.values("total_minor")[:1]),
        currency=Coalesce(
            Subquery(invoice.values("currency")[:1]),
            Subquery(approved.values("currency")[:1]),
            Value(profile().currency),
        ),
        paid_minor=Coalesce(Subquery(_sum_paid()), Value(0)),
        deposit_minor=Subquery(asked.values("amount_minor")[:1]),
        step_code=Subquery(steps.filter(done_at=None).values("code")[:1]),
        steps_all=Coalesce(Subquery(_counted(steps)), Value(0)),
        steps_done=Coalesce(Subquery(_counted(steps.exclude(done_at=None))), Value(0)),
    )


def _sum_paid() -> QuerySet[Payment, Any]:
    paid = Payment.objects.filter(unit=OuterRef("pk"), currency=OuterRef("currency")).order_by()
    return paid.values("unit").annotate(total=Sum("amount_minor")).values("total")


def _counted(steps: QuerySet[JobStep]) -> QuerySet[JobStep, Any]:
    return steps.order_by().values("unit").annotate(count=Count("pk")).values("count")
