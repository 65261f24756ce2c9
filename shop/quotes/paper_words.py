"""What the paper of a decision says: the evidence put into words, amounts and groups of a hash. Nothing is stored here.

All that was shown and chosen is read from the evidence, so that what the shop changes later changes no paper. Beside
it stands only what the decision's row and the shop's place say: see `paper_sheet.Circumstances`.
"""

from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

from babel.dates import format_datetime
from django.utils.translation import gettext as _

from shop.core import money
from shop.quotes import content as contents
from shop.quotes import pricing
from shop.quotes.elections import rules_in
from shop.quotes.lines import Kind, Line, Totals
from shop.quotes.models import Decision, QuoteLine
from shop.quotes.old_forms import today
from shop.quotes.paper_sheet import Circumstances, Grid, Pairs, Sheet, grouped, one_line

_SHOP = ("name", "street", "town", "email", "phone")


def sheet_of(evidence: Mapping[str, Any], sha256: str, about: Circumstances) -> Sheet:
    """Return what the paper of a decision says. sha256 is the hash of the evidence as it is stored.

    Raises ValueError when the evidence's sums are not what its lines come to, and what `pricing.price` raises.
    """
    evidence = {"agreed": [], "deposit_minor": 0, **evidence, "shown": today(evidence["shown"])}
    return _Worded(evidence, about).sheet(sha256)


def _chosen(evidence: Mapping[str, Any]) -> tuple[Line, ...]:
    """Return the lines with the options as they were answered; as the shop had set them where the answer was no."""
    shown = evidence["shown"]
    lines = contents.lines_in(shown)
    if evidence["answer"] == Decision.Kind.DECLINED:
        return lines
    ids = set(evidence["taken"])
    return pricing.choose(lines, {said["option"] for said in shown["lines"] if said["id"] in ids})


def _reckoned(evidence: Mapping[str, Any], lines: Sequence[Line]) -> Totals:
    totals = pricing.price(lines, rules_in(evidence["shown"]))
    if contents.figures(totals) != evidence["totals"]:
        raise ValueError(f"the sums of the evidence are not what its lines come to: {evidence['totals']}")
    return totals


class _Worded:
    """Words one decision."""

    def __init__(self, evidence: Mapping[str, Any], about: Circumstances) -> None:
        self.evidence, self.shown, self.about = evidence, evidence["shown"], about
        self.lines = _chosen(evidence)
        self.totals = _reckoned(evidence, self.lines)
        self.said = list(zip(self.shown["lines"], self.lines, contents.comes_to(self.lines, self.totals), strict=True))
        self.declined = evidence["answer"] == Decision.Kind.DECLINED

    def sheet(self, sha256: str) -> Sheet:
        shown, unit = self.shown, self.shown["unit"]
        return Sheet(
            title=_("Answer to the quote for unit {unit}, edition {edition}").format(
                unit=unit, edition=shown["edition"]
            ),
            about=shown["model"],
            sender="\n".join(filter(None, (shown["shop"][name] for name in _SHOP))),
            answer=self.answer(),
            remarks=self.remarks(),
            lines=self.grid(_("What was offered") if self.declined else _("What was agreed"), taken=True),
            left=self.grid(_("Offered besides") if self.declined else _("Offered and left"), taken=False),
            taxes=self.taxes(),
            sums=self.sums(),
            terms=self.terms(),
            closing=self.closing(),
            hashes=(
                (_("SHA-256 of what was shown"), grouped(self.evidence["shown_sha256"])),
                (_("SHA-256 of the whole evidence"), grouped(sha256)),
            ),
            check=_(
                "To check this paper, scan the code or open {address}, and give that page a hash above or this file: "
                "it says whether they are ours and unchanged. The evidence itself is attached to this file as "
                "evidence.json; its SHA-256 is the second hash."
            ).format(address=self.about.check_at),
            check_address=f"{self.about.check_at}?hash={sha256}",
        )  # fmt: skip

    def amount(self, minor: int) -> str:
        return money.show(minor, self.shown["currency"], self.about.locale)

    def answer(self) -> Pairs:
        decided = datetime.fromisoformat(self.evidence["decided_at"])
        local = format_datetime(decided.astimezone(ZoneInfo(self.about.zone)), "long", locale=self.about.locale)
        utc = decided.astimezone(UTC)
        return (
            (_("Answer"), str(Decision.Kind(self.evidence["answer"]).label)),
            (_("Given by"), self.giver()),
            (_("When"), f"{utc:%Y-%m-%d %H:%M:%S} UTC\n{local} ({self.about.zone})"),
            (_("From the address"), self.about.address or _("not recorded")),
            (_("With"), self.about.agent or _("not recorded")),
        )

    def giver(self) -> str:
        if self.about.by_role == "customer":
            return _("the customer, through their private link")
        return _("the shop ({role})").format(role=self.about.by_role)

    def remarks(self) -> Pairs:
        shown = self.shown
        said = ((_("Why there is a new edition"), shown["why_changed"]), (_("Note"), shown["note"]),
                (_("Valid until"), shown["valid_until"]))  # fmt: skip
        return tuple(pair for pair in said if pair[1])

    def grid(self, name: str, *, taken: bool) -> Grid:
        """Return the lines that count, or those of the options that were left, with the sum that each would have."""
        head = (name, _("Quantity"), _("Each"), _("Discount"), _("Tax class"), _("Sum"))
        rows = tuple(self.row(said, line, net) for said, line, net in self.said if line.taken is taken)
        return Grid(head, rows, shares=(0.38, 0.10, 0.15, 0.11, 0.12, 0.14), figures_from=1)

    def row(self, said: Mapping[str, Any], line: Line, net_minor: int) -> tuple[str, ...]:
        off = line.discount_millipercent
        return (
            "\n".join([one_line(line.words), *self.notes(said, line)]),
            str(line.quantity),
            self.rate(line.percent_millipercent) if line.is_share else self.amount(line.unit_minor),
            f"{self.rate(off)}\n{self.amount(-line.off_minor)}" if off else "",
            _("by shares") if line.is_share else str(QuoteLine.TaxClass(line.tax_class.value).label),
            self.amount(net_minor) if line.taken or not line.is_share else "",
        )

    def notes(self, said: Mapping[str, Any], line: Line) -> list[str]:
        """Explain a line: why, whose part it is, what a share is a share of, and how it was to be chosen."""
        names = {other.option: one_line(other.words) for other in reversed(self.lines) if other.option}
        donor = said["donor"]
        share = _("of the labour") if line.kind == Kind.SURCHARGE else _("of everything else")
        needed = names.get(line.needs, "")
        told = (
            (said["why"], one_line(said["why"])),
            (said["source"] == QuoteLine.Source.CUSTOMER, _("brought by the customer: no warranty on the part")),
            (said["source"] == QuoteLine.Source.HARVESTED, _("used part, from unit {donor}").format(donor=donor)),
            (line.is_share, share),
            (line.one_of, _("one of “{group}”").format(group=one_line(line.one_of))),
            (line.optional, self.option(line)),
            (needed, _("only together with “{other}”").format(other=needed)),
        )
        return [words for holds, words in told if holds]

    def option(self, line: Line) -> str:
        if self.declined:
            return _("an option")
        return _("an option, taken") if line.taken else _("an option, left")

    def rate(self, millipercent: int) -> str:
        return money.show_rate(millipercent, self.about.locale)

    def taxes(self) -> Grid:
        contained = self.shown["prices_include_tax"]
        name = one_line(self.shown["tax_name"])
        head = (
            _("Tax class"), _("Rate"), _("Amount"), _("{tax} contained").format(tax=name) if contained else name
        )  # fmt: skip
        rows = tuple(
            (str(QuoteLine.TaxClass(row.tax_class.value).label), self.rate(row.rate_millipercent),
             self.amount(row.taxable_minor), self.amount(row.tax_minor))
            for row in self.totals.table
        )  # fmt: skip
        return Grid(head, rows, shares=(0.40, 0.16, 0.22, 0.22), figures_from=1)

    def sums(self) -> Pairs:
        totals, deposit = self.evidence["totals"], self.evidence["deposit_minor"]
        told = [
            (_("Without tax"), self.amount(totals["net_minor"])),
            (one_line(self.shown["tax_name"]) or _("Tax"), self.amount(totals["tax_minor"])),
            (_("Total"), self.amount(totals["total_minor"])),
        ]
        if deposit:
            told.append((_("of that as a deposit before work begins"), self.amount(deposit)))
        return tuple(told)

    def terms(self) -> Pairs:
        agreed = set(self.evidence["agreed"])
        return tuple((self.standing(term, agreed), term["words"]) for term in self.shown["terms"])

    def standing(self, term: Mapping[str, Any], agreed: set[str]) -> str:
        if term["code"] in agreed:
            return _("Shown, and agreed to by itself")
        return _("Shown, and not agreed to") if term["asks"] else _("Shown")

    def closing(self) -> str:
        fee = self.shown["fee_if_declined_total_minor"]
        if self.declined and fee:
            return _("The agreed diagnosis fee is due: {fee} with tax.").format(fee=self.amount(fee))
        return ""
