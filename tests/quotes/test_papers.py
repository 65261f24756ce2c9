"""The paper of a decision: what it says, that it stays as it was, and what its hash is worth."""

import hashlib
import io
import json
import re
import threading
from collections.abc import Callable
from typing import Any

import pytest
from django.db import DatabaseError, IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.utils import translation
from hypothesis import HealthCheck, given, settings
from pypdf import PdfReader
from reportlab.lib.pagesizes import A4
from reportlab.pdfbase.pdfmetrics import stringWidth

from shop.core.actor import Actor
from shop.core.appendonly import drop_statements
from shop.core.fonts import find_font
from shop.core.models import ShopProfile
from shop.core.reasons import Missing, Refused
from shop.ledger.tax import TaxClass, TaxRules
from shop.people.models import Customer
from shop.quotes import content as contents
from shop.quotes import steps
from shop.quotes.lines import Line
from shop.quotes.models import Decision, DecisionPaper, QuoteVersion
from shop.quotes.paper_drawing import ATTACHED, draw_decision
from shop.quotes.paper_sheet import grouped
from shop.quotes.papers import changed_since_stored, found_by_hash, paper_of
from shop.units.models import Unit
from tests.quotes.conftest import decide, in_flow, optional_ids
from tests.quotes.drawn_papers import ABOUT, an_evidence, content_with, evidence_of
from tests.quotes.test_races import PATIENCE_S, at_once

RULES = TaxRules(8000, 5000, "USD")
LINES = [
    Line("Recap", "labour", 1, 6000),
    Line("Capacitor", "part", 12, 45, discount_millipercent=10_000),
    Line("Manual", "part", 1, 1800, tax_class=TaxClass.REDUCED),
    Line("Video board", "part", 1, 3800, optional=True, option="a", one_of="Video", taken=False),
    Line("Other board", "part", 1, 5800, optional=True, option="b", one_of="Video", taken=True),
    Line("Polish", "labour", 1, 800, optional=True, option="c", needs="a", taken=False),
]


def reader(pdf: bytes) -> PdfReader:
    return PdfReader(io.BytesIO(pdf), strict=True)


def text_of(pdf: bytes) -> str:
    """The text of a PDF, blanks and line ends folded to one blank."""
    return " ".join(" ".join(page.extract_text() for page in reader(pdf).pages).split())


def attached(pdf: bytes) -> bytes:
    (content,) = reader(pdf).attachments[ATTACHED]
    return content


def drawn(lines: list[Line] = LINES, kind: str = "approved", choice: str = "a", words: str = "So.", **more: Any) -> str:
    content = content_with(lines, RULES, words, **more)
    return text_of(draw_decision(evidence_of(content, kind, frozenset(choice), RULES), ABOUT))


def paper(decision: Decision, actor: Actor) -> DecisionPaper:
    return paper_of(actor=actor, unit_id=decision.quote.unit_id, edition=decision.quote.edition)


@pytest.fixture
def approved(sent: QuoteVersion, customer: Actor) -> Decision:
    return decide(sent, customer, agent="A phone 1.0", taken=optional_ids(sent))


@pytest.fixture
def unguarded(db: None) -> None:
    """Take the guard off the tables that only grow."""
    with connection.cursor() as cursor:
        for model in (Decision, DecisionPaper):
            for statement in drop_statements(connection.vendor, model._meta.db_table):
                cursor.execute(statement)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much])
@given(evidence=an_evidence())
def test_it_draws_the_same_bytes_of_the_same_evidence_and_holds_it_whole(evidence: str) -> None:
    pdf = draw_decision(evidence, ABOUT)
    assert draw_decision(evidence, ABOUT) == pdf
    assert attached(pdf) == evidence.encode()
    said, kept = text_of(pdf), json.loads(evidence)
    for sha256 in (hashlib.sha256(attached(pdf)).hexdigest(), kept["shown_sha256"]):
        assert sha256 in said.replace(" ", "")
    pages = len(reader(pdf).pages)
    assert [re.search(r"page \d+ of \d+", page.extract_text())[0] for page in reader(pdf).pages] == [  # type: ignore[index]
        f"page {page} of {pages}" for page in range(1, pages + 1)
    ]


def test_it_says_each_line_with_all_its_figures() -> None:
    said = drawn()
    assert "Brandt & Daughter 4 Ropewalk Saltmarsh desk@brandt.example +12025550143" in said
    assert "unit 0042, edition 2 Quillon Lantern" in said
    assert "Capacitor So. brought by the customer: no warranty on the part 12 $0.45 10% -$0.54 standard rate $4.86" in (
        said
    )
    assert "Manual So. used part, from unit 0007 1 $18.00 reduced rate $18.00" in said
    assert "standard rate 8% $102.86 $8.23 reduced rate 5% $18.00 $0.90" in said
    assert "Without tax $120.86 Sales tax $9.13 Total $129.99 of that as a deposit before work begins $39.00" in said


def test_it_says_which_options_were_taken_and_which_were_left() -> None:
    taken, left = drawn().split("Offered and left")
    assert "Video board So. one of “Video” an option, taken 1 $38.00" in taken
    assert "Other board" not in taken
    assert "Other board So. brought by the customer: no warranty on the part one of “Video” an option, left 1" in left
    assert "Polish So. an option, left only together with “Video board” 1 $8.00" in left


def test_it_says_who_answered_when_from_where_and_with_what() -> None:
    assert (
        "Answer approved Given by the customer, through their private link When 2026-03-10 09:00:00 UTC "
        "March 10, 2026, 5:00:00 AM EDT (America/New_York) From the address 198.51.100.9 With A phone 1.0"
    ) in drawn()


def test_it_says_which_terms_were_shown_and_which_were_agreed_to() -> None:
    terms = [{"code": "work", "words": "Kept.", "asks": False}, {"code": "fragile", "words": "Frail.", "asks": True}]
    assert "Shown Kept. Shown, and agreed to by itself Frail." in drawn(terms=terms)
    assert "Shown Kept. Shown, and not agreed to Frail." in drawn(terms=terms, kind="declined")


def test_it_says_of_a_decline_what_was_offered_and_which_fee_is_due() -> None:
    said = drawn(kind="declined")
    assert "Answer declined" in said
    assert "The agreed diagnosis fee is due: $27.00 with tax." in said
    assert "deposit" not in said
    offered, besides = said.split("Offered besides")
    assert "Other board" in offered[offered.index("What was offered") :]
    assert "Video board" in besides
    assert "fee" not in drawn(kind="declined", fee_if_declined_total_minor=0)


def test_it_writes_names_in_any_script_and_boxes_what_the_typeface_lacks() -> None:
    shop = {"name": "Łódź Ωμέγα 王", "street": "", "town": "<b>&", "email": "", "phone": ""}
    said = drawn([Line("Повтор 😀", "labour", 1, 6000)], choice="", words="Đã xong 😀\nund < weiter", shop=shop)
    assert "Łódź Ωμέγα □ <b>&" in said
    assert "Повтор □" in said
    assert "Đã xong □ und < weiter" in said


def test_it_keeps_long_words_inside_the_margins() -> None:
    lines = [Line("x" * 160, "part", 999_999, 10**6 // 999_999), Line("y" * 160, "labour", 1, 10**11)]
    pdf = draw_decision(evidence_of(content_with(lines, RULES, "w" * 600), "approved", frozenset(), RULES), ABOUT)
    fonts = find_font()
    rights: list[float] = []

    def measure(text: str, cm: list[float], tm: list[float], _font: object, size: float) -> None:
        x = tm[4] * cm[0] + cm[4]
        rights.extend(x + stringWidth(line, fonts.regular, size * tm[0]) for line in text.splitlines())

    for page in reader(pdf).pages:
        page.extract_text(visitor_text=measure)
    assert A4[0] / 2 < max(rights) < A4[0] - 30
    assert text_of(pdf).replace(" ", "").count("w" * 600) >= 3


def test_it_draws_on_as_many_pages_of_a4_as_it_takes() -> None:
    lines = [Line(f"Step {number}", "labour", 1, 100) for number in range(120)]
    pdf = draw_decision(evidence_of(content_with(lines, RULES, "ok"), "approved", frozenset(), RULES), ABOUT)
    pages = reader(pdf).pages
    assert len(pages) > 3
    assert {tuple(round(float(side)) for side in page.mediabox[2:]) for page in pages} == {(595, 842)}
    assert all("Tax class" in page.extract_text() for page in pages[:3])
    said = text_of(pdf)
    assert all(f"Step {number} " in said for number in range(120))


def test_it_draws_no_sums_that_its_lines_do_not_come_to() -> None:
    evidence = json.loads(evidence_of(content_with(LINES, RULES, ""), "approved", frozenset("a"), RULES))
    evidence["totals"]["total_minor"] += 1
    with pytest.raises(ValueError, match="sums"):
        draw_decision(contents.canonical(evidence), ABOUT)


def test_it_groups_a_hash_for_the_eye() -> None:
    assert grouped("0123456789abcdef" * 4) == "\n".join(["0123 4567 89ab cdef 0123 4567 89ab cdef"] * 2)


def test_it_makes_one_paper_whoever_asks_and_in_whatever_language(
    approved: Decision, customer: Actor, helper: Actor
) -> None:
    with translation.override("fr"):
        first = paper(approved, customer)
    pdf = bytes(first.pdf)
    assert paper(approved, helper) == first
    assert (DecisionPaper.objects.count(), first.pdf_sha256) == (1, hashlib.sha256(pdf).hexdigest())
    assert attached(pdf).decode() == approved.content
    assert "Total $160.27" in text_of(pdf)
    assert str(reader(pdf).root_object["/Lang"]) == "en"


def test_it_writes_the_customers_language(approved: Decision, ada: Customer, customer: Actor) -> None:
    Customer.objects.filter(pk=ada.pk).update(language="de")
    pdf = bytes(paper(approved, customer).pdf)
    assert str(reader(pdf).root_object["/Lang"]) == "de"
    assert "160,27 $" in text_of(pdf)


def test_it_names_no_customer(approved: Decision, ada: Customer, customer: Actor) -> None:
    Customer.objects.filter(pk=ada.pk).update(postal_address="9 Quay Lane\nDunmere")
    pdf = bytes(paper(approved, customer).pdf)
    meta = reader(pdf).metadata
    everything = text_of(pdf) + attached(pdf).decode() + str(dict(meta or {}))
    assert not [word for word in ("Kowalczyk", "post.example", "0177", "Quay", "Dunmere") if word in everything]


def test_it_says_that_work_went_ahead_unasked(draft: QuoteVersion, unit: Unit, helper: Actor) -> None:
    Unit.objects.update(spending_limit_minor=100_000)
    decision = in_flow(steps.go_ahead_within_limit, unit.id, actor=helper, quote_id=draft.id)
    said = text_of(bytes(paper(decision, helper).pdf))
    assert "Answer went ahead within the limit Given by the shop (counter)" in said
    assert "From the address 192.0.2.7 With not recorded" in said


@pytest.mark.parametrize("made_before", [True, False])
def test_it_says_what_was_shown_whatever_the_shop_says_later(
    approved: Decision, customer: Actor, made_before: bool
) -> None:
    before = bytes(paper(approved, customer).pdf) if made_before else b""
    ShopProfile.objects.update(
        name="Other shop", tax_name="Levy", tax_rate_millipercent=20_000, terms_work="Other terms", deposit_percent=50
    )
    after = bytes(paper(approved, customer).pdf)
    assert before in (after, b"")
    said = text_of(after)
    assert "Brandt & Daughter" in said
    assert "Work that has begun cannot always be undone." in said
    assert "Sales tax $11.87 Total $160.27" in said
    assert not [word for word in ("Other", "Levy", "deposit") if word in said]


def test_it_gives_no_paper_of_what_was_not_decided_or_is_not_there(
    sent: QuoteVersion, customer: Actor, helper: Actor
) -> None:
    for unit_id, edition in ((sent.unit_id, 1), (sent.unit_id, 2), (sent.id, 1)):
        with pytest.raises(Missing, match="paper_missing"):
            paper_of(actor=customer, unit_id=unit_id, edition=edition)
    assert not DecisionPaper.objects.exists()


def test_it_gives_no_paper_to_who_may_not_have_it(approved: Decision, technician: Actor) -> None:
    with pytest.raises(Refused, match="not_permitted"):
        paper(approved, technician)


def test_it_never_changes_or_loses_a_paper(approved: Decision, customer: Actor) -> None:
    made = paper(approved, customer)
    for attempt in (lambda: DecisionPaper.objects.update(pdf=b"%PDF-"), made.delete):
        with pytest.raises(DatabaseError), transaction.atomic():
            attempt()
    assert paper(approved, customer) == made


def test_it_knows_a_paper_its_evidence_and_what_was_shown_by_their_hashes(approved: Decision, customer: Actor) -> None:
    made = paper(approved, customer)
    hashes = {
        "paper": made.pdf_sha256, "evidence": approved.content_sha256, "shown": approved.quote.content_sha256
    }  # fmt: skip
    for what, sha256 in hashes.items():
        with CaptureQueriesContext(connection) as asked:
            known = found_by_hash(sha256)
        assert known is not None
        assert (known.what, known.decision) == (what, approved)
        assert len(asked) <= 3
    assert found_by_hash("0" * 64) is None
    assert found_by_hash("") is None


def test_it_knows_no_hash_of_an_edition_that_nobody_answered(sent: QuoteVersion) -> None:
    assert found_by_hash(sent.content_sha256) is None


def test_it_knows_no_file_with_one_byte_changed(approved: Decision, customer: Actor) -> None:
    pdf = bytes(paper(approved, customer).pdf)
    assert found_by_hash(hashlib.sha256(pdf).hexdigest())
    for at in (0, 9, *range(100, len(pdf), len(pdf) // 50), len(pdf) - 1):
        changed = bytearray(pdf)
        changed[at] ^= 1
        assert found_by_hash(hashlib.sha256(changed).hexdigest()) is None
    for other in (pdf + b"\n", pdf[:-1]):
        assert found_by_hash(hashlib.sha256(other).hexdigest()) is None


def test_it_finds_what_was_changed_behind_its_back_and_vouches_for_none_of_it(
    approved: Decision, customer: Actor, unguarded: None
) -> None:
    made = paper(approved, customer)
    assert list(changed_since_stored()) == []
    other = approved.content.replace('"edition":1', '"edition":9')
    Decision.objects.update(content=other)
    assert list(changed_since_stored()) == [("evidence", approved.quote)]
    assert found_by_hash(approved.content_sha256) is None
    assert found_by_hash(made.pdf_sha256) is None
    Decision.objects.update(content=approved.content)
    assert found_by_hash(made.pdf_sha256)
    DecisionPaper.objects.update(pdf=bytes(made.pdf) + b"\n")
    assert list(changed_since_stored()) == [("paper", approved.quote)]
    assert found_by_hash(made.pdf_sha256) is None
    QuoteVersion.objects.update(content="{}")
    assert list(changed_since_stored()) == [("shown", approved.quote), ("paper", approved.quote)]
    assert found_by_hash(approved.quote.content_sha256) is None


@pytest.mark.django_db(transaction=True)
def test_it_makes_one_paper_of_two_first_requests_at_once(approved: Decision, customer: Actor, helper: Actor) -> None:
    def ask(actor: Actor) -> Callable[[], str]:
        return lambda: paper(approved, actor).pdf_sha256

    first, second = at_once(ask(customer), ask(helper))
    assert first == second == DecisionPaper.objects.get().pdf_sha256


@pytest.mark.django_db(transaction=True)
def test_it_would_meet_its_own_paper_where_nobody_looks_again_under_the_lock(approved: Decision) -> None:
    """The control: the same look, made before and not after the lock. It shows what the test above would see."""
    looked = threading.Barrier(2)

    def careless() -> str:
        if DecisionPaper.objects.filter(decision=approved).exists():
            return "kept"
        looked.wait(PATIENCE_S)
        try:
            DecisionPaper.objects.create(decision=approved, pdf=b"%PDF-", pdf_sha256="0" * 64)
        except IntegrityError:
            return "twice"
        return "made"

    assert sorted(at_once(careless, careless)) == ["made", "twice"]
