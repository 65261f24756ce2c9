"""What may stand on a line of a quote: each field checked as it is given, then the line, then the lines together."""

from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

from django.utils.translation import gettext as _

from shop.boards.models import Service
from shop.core import money
from shop.core.reasons import Reason, Refused
from shop.core.rows import existing
from shop.core.text import choice, whole, words
from shop.parts.models import Part
from shop.quotes.content import option_of
from shop.quotes.models import QuoteLine
from shop.units.models import Unit

LARGEST_QUANTITY = 9_999
LARGEST_SHARE_MILLIPERCENT = 1_000_000
WHOLE_MILLIPERCENT = 100_000
Kind = QuoteLine.Kind
TAKES_OFF = frozenset({Kind.DISCOUNT, Kind.CREDIT})


@dataclass(frozen=True, slots=True, kw_only=True)
class LineGiven:
    """What is given of a line; None leaves a field as it is. Percentages are in millipercent, 10 % is 10,000.

    needs is the id of a line of the option without which this one makes no sense, or "" for none; donor_number is the
    unit that a harvested part comes from.
    """

    kind: str | None = None
    words: str | None = None
    quantity: int | None = None
    unit_minor: int | None = None
    discount_millipercent: int | None = None
    percent_millipercent: int | None = None
    tax_class: str | None = None
    optional: bool | None = None
    taken: bool | None = None
    one_of: str | None = None
    may_skip: bool | None = None
    needs: str | None = None
    why: str | None = None
    source: str | None = None
    donor_number: int | None = None
    service_id: UUID | None = None
    part_id: UUID | None = None


def apply_given(line: QuoteLine, given: LineGiven) -> None:
    """Put what is given on a line, unsaved, and check the line as a whole.

    Raises Refused naming the field, Missing for a service, part or donor that is not there.
    """
    _apply_words(line, given)
    _apply_figures(line, given)
    _apply_option(line, given)
    _apply_source(line, given)
    if given.service_id is not None:
        line.service = existing(Service, given.service_id)
    if given.part_id is not None:
        line.part = existing(Part, given.part_id)
    _check_line(line)


def _apply_words(line: QuoteLine, given: LineGiven) -> None:
    if given.kind is not None:
        line.kind = choice(given.kind, Kind.values, label=_("The kind of line"), field="kind")
    if given.words is not None:
        line.words = words(given.words, label=_("The words of the line"), field="words", limit=160)
    if given.why is not None:
        line.why = words(given.why, label=_("Why it is needed"), field="why", limit=300, required=False)
    if given.tax_class is not None:
        line.tax_class = choice(given.tax_class, QuoteLine.TaxClass.values, label=_("The tax"), field="tax_class")


def _apply_figures(line: QuoteLine, given: LineGiven) -> None:
    if given.quantity is not None:
        label = _("The quantity")
        line.quantity = whole(given.quantity, low=1, high=LARGEST_QUANTITY, label=label, field="quantity")
    if given.unit_minor is not None:
        amount = money.checked(given.unit_minor, label=_("The price"), field="unit_minor")
        line.unit_minor = -amount if line.kind in TAKES_OFF else amount
    if given.discount_millipercent is not None:
        most, label = WHOLE_MILLIPERCENT, _("The discount")
        line.discount_millipercent = whole(
            given.discount_millipercent, low=0, high=most, label=label, field="discount_millipercent"
        )
    if given.percent_millipercent is not None:
        most = WHOLE_MILLIPERCENT if line.kind == Kind.DISCOUNT else LARGEST_SHARE_MILLIPERCENT
        line.percent_millipercent = whole(
            given.percent_millipercent, low=0, high=most, label=_("The share"), field="percent_millipercent"
        )


def _apply_option(line: QuoteLine, given: LineGiven) -> None:
    if given.optional is not None:
        line.optional = given.optional
        if not given.optional:
            line.one_of, line.needs, line.may_skip, line.taken = "", "", False, True
    if given.one_of is not None:
        line.one_of = words(given.one_of, label=_("The group"), field="one_of", limit=60, required=False)
    if given.may_skip is not None:
        line.may_skip = given.may_skip
    line.may_skip = line.may_skip and bool(line.one_of)
    if given.needs is not None:
        line.needs = given.needs
    if (line.one_of or line.needs) and not line.optional:
        raise Refused(Reason("line_not_optional", {}, "optional"))


def _apply_source(line: QuoteLine, given: LineGiven) -> None:
    if given.source is not None:
        line.source = choice(given.source, QuoteLine.Source.values, label=_("Whose part it is"), field="source")
        line.unit_minor = 0 if line.source == QuoteLine.Source.CUSTOMER and not given.unit_minor else line.unit_minor
    if given.donor_number is not None:
        line.donor = Unit.objects.filter(number=given.donor_number).first()
    if line.source != QuoteLine.Source.HARVESTED:
        line.donor = None
    elif line.donor is None:
        raise Refused(Reason("donor_missing", {}, "donor_number"))


def _check_line(line: QuoteLine) -> None:
    share = line.percent_millipercent
    if share and (line.kind not in (Kind.DISCOUNT, Kind.SURCHARGE) or line.unit_minor or line.quantity != 1):
        raise Refused(Reason("share_of_nothing", {}, "percent_millipercent"))
    if line.source == QuoteLine.Source.CUSTOMER and (line.unit_minor or line.kind != Kind.PART):
        raise Refused(Reason("brought_with_price", {}, "unit_minor"))
    if line.discount_millipercent and (share or line.kind in TAKES_OFF):
        raise Refused(Reason("discount_of_discount", {}, "discount_millipercent"))


def check_whole(lines: Sequence[QuoteLine]) -> None:
    """Put the options' own names where a need was given as a line's id, and refuse a need that goes in a circle.

    Raises Refused with `option_never` for a need that is not an option of these lines, `needs_itself`.
    """
    by_id = {str(line.id): option_of(line) for line in lines if line.optional}
    for line in lines:
        line.needs = by_id.get(line.needs, line.needs)
        if line.needs and line.needs not in by_id.values():
            raise Refused(Reason("option_never", {"option": line.words}, "needs"))
    needs = {option_of(line): line.needs for line in lines if line.needs}
    for start in needs:
        at, seen = start, {start}
        while at := needs.get(at, ""):
            if at in seen:
                raise Refused(Reason("needs_itself", {}, "needs"))
            seen.add(at)
