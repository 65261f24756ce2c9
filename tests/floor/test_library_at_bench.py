"""The library at the bench: evidence, findings, editions and variants, by the verbs that the faces call."""

import io
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from PIL import Image

from shop.boards.actions import add_model, add_revision
from shop.boards.board_actions import measure_board
from shop.boards.models import BoardRevision, DeviceModel, Service
from shop.boards.placement_actions import put_placement
from shop.boards.service_actions import add_service
from shop.boards.spots import Points
from shop.core.actor import Actor
from shop.core.models import Photo, TrailEntry
from shop.core.photos import add_photo
from shop.core.reasons import Missing, Refused, sentence
from shop.floor.flows import inside
from shop.floor.gates import facts_of, findings_agreed
from shop.people.models import Customer, Place, User
from shop.quotes.models import QuoteLine, QuoteVersion
from shop.testing.models import Reading
from shop.units.actions import Spotted, add_finding
from shop.units.models import Finding, Unit
from shop.work import actions, queries
from shop.work.models import JobStep
from tests.boards.conftest import CANS, can, enter_board


def a_photo(actor: Actor) -> Photo:
    file = io.BytesIO()
    Image.new("RGB", (8, 8), "green").save(file, "PNG")
    file.seek(0)
    return add_photo(actor=actor, upload=file)


@pytest.fixture
def board(owner: Actor, lantern_b2: BoardRevision) -> BoardRevision:
    """The Lantern's board in the library: cans C1 and C2, C61 on 50 Hz only, C70 empty, the regulator U8."""
    enter_board(owner, lantern_b2)
    return lantern_b2


@pytest.fixture
def cans(owner: Actor) -> Service:
    return add_service(
        actor=owner, code="cans", name="Recap", nature="replace", selects=["electrolytic"], steps=["Replace the cans"]
    )


@pytest.fixture
def arrive(jun: User, lantern: DeviceModel, bench_one: Place, cans: Service) -> Callable[..., Unit]:
    """Put a unit of the shop's own on a bench for work: what is wished for is agreed."""

    def put(number: int, **facts: Any) -> Unit:
        where: dict[str, Any] = {"stage": "bench", "visit": "work", "place": bench_one, "opened": True}
        unit = Unit.objects.create(number=number, model=lantern, technician=jun, **where | facts)
        unit.services.set([cans])
        return unit

    return put


@pytest.fixture
def unit(arrive: Callable[..., Unit], board: BoardRevision, technician: Actor) -> Unit:
    """Unit 0042 with its board named, 60 Hz, and its sheet laid out."""
    unit = arrive(42)
    inside.name_revision(actor=technician, unit_id=unit.pk, revision_id=board.pk, variant="60 Hz")
    return inside.lay_out_again(actor=technician, unit_id=unit.pk)


def step(unit: Unit, code: str, ref: str = "") -> JobStep:
    (found,) = [
        each for each in queries.open_steps(unit) if each.code == code and (not ref or each.refs == [ref])
    ]  # fmt: skip
    return found


def tick(actor: Actor, unit: Unit, each: JobStep) -> JobStep:
    given: dict[str, Any] = {}
    if each.evidence == "photo":
        given["photo_id"] = a_photo(actor).pk
    elif each.evidence:
        given["value"] = {"volts": Decimal("0.5"), "ohms": Decimal(480)}[each.evidence]
    return inside.tick_step(actor=actor, unit_id=unit.pk, step_id=each.pk, **given)


def tick_until(actor: Actor, unit: Unit, code: str) -> None:
    for each in queries.open_steps(unit):
        if each.code == code:
            return
        tick(actor, unit, each)


def fits(unit: Unit) -> dict[str, str]:
    return {each.refs[0]: each.words for each in queries.sheet(unit) if each.code == "fit"}


def mends(unit: Unit) -> list[str]:
    return [each.words for each in queries.open_steps(unit) if each.code == "repair"]


def trail_of(unit: Unit, what: str) -> list[TrailEntry]:
    return list(TrailEntry.objects.filter(subject_id=unit.pk, what=what).order_by("seq"))


# Evidence


def test_it_holds_until_the_polarity_was_photographed(unit: Unit, technician: Actor) -> None:
    tick_until(technician, unit, "polarity")
    polarity = step(unit, "polarity")
    with pytest.raises(Refused, match="evidence_photo"):
        inside.tick_step(actor=technician, unit_id=unit.pk, step_id=polarity.pk)
    with pytest.raises(Refused, match="hold_point_open"):
        inside.tick_step(actor=technician, unit_id=unit.pk, step_id=step(unit, "solder").pk)
    photo = a_photo(technician)
    inside.tick_step(actor=technician, unit_id=unit.pk, step_id=polarity.pk, photo_id=photo.pk)
    polarity.refresh_from_db()
    assert polarity.photo == photo
    assert inside.tick_step(actor=technician, unit_id=unit.pk, step_id=step(unit, "solder").pk).done_at


def test_it_keeps_a_steps_reading_with_the_units_others(unit: Unit, technician: Actor, jun: User) -> None:
    tick_until(technician, unit, "resistance")
    rails = step(unit, "resistance")
    inside.tick_step(actor=technician, unit_id=unit.pk, step_id=rails.pk, value=Decimal("480.5"))
    reading = Reading.objects.get(unit=unit)
    assert (reading.name, reading.quantity, reading.value, reading.by) == (rails.words[:80], "Ω", Decimal("480.5"), jun)


def test_it_keeps_no_reading_of_a_step_that_was_refused(unit: Unit, technician: Actor) -> None:
    DeviceModel.objects.update(mains_inside=True)
    JobStep.objects.filter(unit=unit).delete()
    inside.lay_out_again(actor=technician, unit_id=unit.pk)
    discharge = step(unit, "discharge")
    with pytest.raises(Refused, match="still_charged"):
        inside.tick_step(actor=technician, unit_id=unit.pk, step_id=discharge.pk, value=Decimal(60))
    assert not Reading.objects.filter(unit=unit).exists()
    inside.tick_step(actor=technician, unit_id=unit.pk, step_id=discharge.pk, value=Decimal("0.3"))
    assert Reading.objects.get(unit=unit).quantity == "V"


def test_a_reading_that_is_no_figure_leaves_the_step_open(unit: Unit, technician: Actor) -> None:
    tick_until(technician, unit, "resistance")
    rails = step(unit, "resistance")
    for value in ("Infinity", "NaN"):
        with pytest.raises(Refused):
            inside.tick_step(actor=technician, unit_id=unit.pk, step_id=rails.pk, value=Decimal(value))
    rails.refresh_from_db()
    assert not rails.done_at


def test_a_second_tick_keeps_no_second_reading(unit: Unit, technician: Actor) -> None:
    tick_until(technician, unit, "resistance")
    rails = step(unit, "resistance")
    for _tap in range(2):
        inside.tick_step(actor=technician, unit_id=unit.pk, step_id=rails.pk, value=Decimal(480))
    assert Reading.objects.filter(unit=unit).count() == 1


# Findings


def found(actor: Actor, unit: Unit, kind: str = "lifted_pad", text: str = "", **facts: Any) -> Finding:
    spotted = Spotted(**{"repair": "now", **facts})
    return add_finding(actor=actor, unit_id=unit.pk, kind=kind, text=text, spotted=spotted)


def test_it_keeps_where_a_finding_is_and_what_becomes_of_it(unit: Unit, technician: Actor) -> None:
    finding = found(
        technician, unit, x_mm=58.5, y_mm=80.0, side="bottom", repair="offered", minutes=25, price_minor=1500
    )
    finding.refresh_from_db()
    assert (finding.x_mm, finding.y_mm, finding.side) == (58.5, 80.0, "bottom")
    assert (finding.repair, finding.repair_minutes, finding.repair_minor) == ("offered", 25, 1500)


@pytest.mark.parametrize(
    ("facts", "code", "field"),
    [
        ({"x_mm": 5.0}, "finding_half_placed", "x_mm"),
        ({"side": "left"}, "not_a_choice", "side"),
        ({"repair": "later"}, "not_a_choice", "repair"),
        ({"minutes": -1}, "out_of_range", "minutes"),
        ({"price_minor": -1}, "negative_money", "price"),
    ],
)
def test_it_refuses_a_finding_that_cannot_be(
    unit: Unit, technician: Actor, facts: dict[str, Any], code: str, field: str
) -> None:
    with pytest.raises(Refused) as refused:
        found(technician, unit, **facts)
    reason = refused.value.reasons[0]
    assert (reason.code, reason.field) == (code, field)
    assert sentence(reason)
    assert not Finding.objects.exists()


@pytest.mark.parametrize("x_mm", [float("nan"), float("inf")])
def test_it_refuses_a_place_of_a_finding_that_is_no_figure(unit: Unit, technician: Actor, x_mm: float) -> None:
    with pytest.raises(Refused):
        found(technician, unit, x_mm=x_mm, y_mm=10.0)


def test_a_finding_is_mended_by_its_step_and_settled_by_its_tick(unit: Unit, technician: Actor) -> None:
    finding, noted = found(technician, unit, text="below C2"), found(technician, unit, "corrosion", repair="")
    assert mends(unit) == []
    inside.lay_out_again(actor=technician, unit_id=unit.pk)
    (said,) = mends(unit)
    assert said.startswith("Lifted pad (below C2)")
    tick(technician, unit, step(unit, "repair"))
    for each in (finding, noted):
        each.refresh_from_db()
    assert finding.settled_at is not None
    assert noted.settled_at is None
    (entry,) = trail_of(unit, "finding_settled")
    assert entry.note is not None
    assert entry.note.text == said


def test_each_of_two_findings_in_the_same_words_is_mended(unit: Unit, technician: Actor) -> None:
    for _each in range(2):
        found(technician, unit)
    inside.lay_out_again(actor=technician, unit_id=unit.pk)
    first, _second = (each for each in queries.open_steps(unit) if each.code == "repair")
    tick(technician, unit, first)
    assert Finding.objects.filter(settled_at=None).count() == 1
    inside.lay_out_again(actor=technician, unit_id=unit.pk)
    assert len(mends(unit)) == 1


def test_a_repair_that_was_unticked_is_to_be_done_again(unit: Unit, technician: Actor) -> None:
    finding = found(technician, unit)
    inside.lay_out_again(actor=technician, unit_id=unit.pk)
    mend = step(unit, "repair")
    tick(technician, unit, mend)
    actions.untick(actor=technician, unit_id=unit.pk, step_id=mend.pk)
    (entry,) = trail_of(unit, "step_unticked")
    assert entry.before == "repair"
    inside.lay_out_again(actor=technician, unit_id=unit.pk)
    assert len(mends(unit)) == 1
    tick(technician, unit, step(unit, "repair"))
    finding.refresh_from_db()
    assert finding.settled_at is not None


# What the customer agreed to


def quoted(unit: Unit, finding: Finding | None, *, taken: bool = True, **line: Any) -> QuoteVersion:
    """Let the customer have approved a quote with one line."""
    quote = QuoteVersion.objects.create(
        unit=unit, edition=1, state="approved", currency="USD", tax_name="Tax", tax_rate_millipercent=0,
        content="{}", content_sha256="0" * 64, within_limit=True,
    )  # fmt: skip
    facts = {"words": "Mend", "unit_minor": 1500, "optional": True, "taken": taken} | line
    QuoteLine.objects.create(quote=quote, position=1, kind="labour", finding=finding, **facts)
    return quote


@pytest.fixture
def adas(unit: Unit, ada: Customer) -> Unit:
    """The same unit, of a customer: what costs more is for her to approve."""
    unit.customer = ada
    unit.save()
    return unit


def test_a_customers_finding_waits_for_her_word_where_it_was_offered(adas: Unit, technician: Actor) -> None:
    now, offered = found(technician, adas), found(technician, adas, "corrosion", repair="offered", price_minor=1500)
    found(technician, adas, "smoke", repair="")
    assert findings_agreed(adas) == [now]
    quote = quoted(adas, offered, taken=False)
    assert findings_agreed(adas) == [now]
    QuoteLine.objects.filter(quote=quote).update(taken=True)
    assert findings_agreed(adas) == [now, offered]


def test_the_step_of_an_offered_repair_comes_after_the_approval(adas: Unit, technician: Actor, cans: Service) -> None:
    offered = found(technician, adas, "broken_trace", repair="offered", price_minor=1500)
    inside.lay_out_again(actor=technician, unit_id=adas.pk)
    assert mends(adas) == []
    quoted(adas, offered)
    inside.lay_out_again(actor=technician, unit_id=adas.pk)
    assert [words.split(":")[0] for words in mends(adas)] == ["Broken trace"]


@pytest.mark.parametrize("own", [True, False])
def test_what_needs_no_approval_is_mended_at_once(unit: Unit, technician: Actor, ada: Customer, *, own: bool) -> None:
    if not own:  # a comeback, free of charge
        unit.customer, unit.free_of_charge = ada, True
        unit.save()
    offered, _noted = found(technician, unit, repair="offered"), found(technician, unit, repair="")
    assert findings_agreed(unit) == [offered]


# What was agreed after the unit had left the bench


def in_testing(unit: Unit) -> Unit:
    unit.stage = "testing"
    unit.save()
    return unit


def test_it_knows_what_was_agreed_and_never_done(adas: Unit, cans: Service, owner: Actor) -> None:
    quoted(adas, None, service=cans)
    assert facts_of(in_testing(adas)).agreed_not_done == ("Recap",)


def test_it_knows_it_of_a_service_that_has_placements_and_no_words(unit: Unit, technician: Actor, owner: Actor) -> None:
    bare = add_service(actor=owner, code="bare", name="Regulator", nature="regulator", selects=["regulator"])
    unit.services.set([bare])
    assert facts_of(in_testing(unit)).agreed_not_done == ("Regulator",)


def test_it_knows_it_of_a_repair(adas: Unit, technician: Actor) -> None:
    offered = found(technician, adas, repair="offered", price_minor=1500)
    quoted(adas, offered)
    assert len(facts_of(in_testing(adas)).agreed_not_done) == 1


def test_what_was_fitted_for_one_service_is_done_for_another_that_means_it_too(
    unit: Unit, technician: Actor, owner: Actor
) -> None:
    both = add_service(
        actor=owner, code="big", name="Big cans", nature="replace", selects=["C1"], steps=["Replace the big can"]
    )
    tick_until(technician, unit, "count")
    unit.services.add(both)
    assert facts_of(in_testing(unit)).agreed_not_done == ()
    more = add_service(
        actor=owner, code="more", name="Resistors", nature="replace", selects=["C1", "R3"], steps=["Replace"]
    )
    unit.services.add(more)
    assert facts_of(unit).agreed_not_done == ("Resistors",)


# Editions and variants


def correct(actor: Actor, revision: BoardRevision) -> None:
    put_placement(
        actor=actor, revision_id=revision.pk, spot=replace(CANS[1], value="47 µF", positive=Points.RIGHT)
    )  # fmt: skip
    put_placement(actor=actor, revision_id=revision.pk, spot=can("C9", value="1 µF"))


def test_a_unit_keeps_its_edition_while_the_library_learns(
    unit: Unit, technician: Actor, board: BoardRevision, arrive: Callable[..., Unit]
) -> None:
    correct(technician, board)
    unit.refresh_from_db()
    other = arrive(43)
    inside.name_revision(actor=technician, unit_id=other.pk, revision_id=board.pk, variant="50 Hz")
    inside.lay_out_again(actor=technician, unit_id=other.pk)
    other.refresh_from_db()
    assert unit.edition is not None
    assert other.edition is not None
    assert (unit.edition.number, other.edition.number) == (1, 2)
    assert fits(unit) == {
        "C2": "Fit C2: 10 µF 25 V, plus away from you",
        "C1": "Fit C1: 1000 µF 16 V, plus to the left. The white stripe looks at the slot",
    }
    assert set(fits(other)) == {"C1", "C2", "C9", "C61"}
    assert fits(other)["C2"] == "Fit C2: 47 µF 25 V, plus to the right"


def test_a_new_layout_takes_what_the_library_learned_while_nothing_was_done_by_the_old(
    unit: Unit, technician: Actor, board: BoardRevision
) -> None:
    for code in ("test_before", "unplug", "discharge"):
        tick(technician, unit, step(unit, code))
    correct(technician, board)
    inside.lay_out_again(actor=technician, unit_id=unit.pk)
    unit.refresh_from_db()
    assert unit.edition is not None
    assert unit.edition.number == 2
    assert set(fits(unit)) == {"C1", "C2", "C9"}
    assert fits(unit)["C2"] == "Fit C2: 47 µF 25 V, plus to the right"


def test_a_new_layout_takes_a_corrected_value_though_no_placement_came_or_went(
    unit: Unit, technician: Actor, board: BoardRevision
) -> None:
    put_placement(actor=technician, revision_id=board.pk, spot=replace(CANS[1], positive=Points.RIGHT))
    inside.lay_out_again(actor=technician, unit_id=unit.pk)
    assert fits(unit)["C2"].endswith("plus to the right")


def test_a_new_layout_keeps_the_edition_that_something_was_done_by(
    unit: Unit, technician: Actor, board: BoardRevision
) -> None:
    tick_until(technician, unit, "refresh")
    correct(technician, board)
    inside.lay_out_again(actor=technician, unit_id=unit.pk)
    unit.refresh_from_db()
    assert unit.edition is not None
    assert unit.edition.number == 1
    assert set(fits(unit)) == {"C1", "C2"}
    assert [(each.code, each.refs) for each in queries.sheet(unit) if each.code == "trim_legs"] == [
        ("trim_legs", ["C1", "C2"])
    ]


def test_naming_the_same_board_again_keeps_the_edition_that_something_was_done_by(
    unit: Unit, technician: Actor, board: BoardRevision
) -> None:
    tick_until(technician, unit, "refresh")
    correct(technician, board)
    inside.name_revision(actor=technician, unit_id=unit.pk, revision_id=board.pk, variant="50 Hz")
    unit.refresh_from_db()
    assert unit.edition is not None
    assert (unit.edition.number, unit.variant) == (1, "50 Hz")


def test_it_names_one_of_the_boards_variants_or_none(unit: Unit, technician: Actor, board: BoardRevision) -> None:
    with pytest.raises(Refused) as refused:
        inside.name_revision(actor=technician, unit_id=unit.pk, revision_id=board.pk, variant="55 Hz")
    assert (refused.value.code, refused.value.reasons[0].field) == ("not_a_choice", "variant")
    unit.refresh_from_db()
    assert unit.variant == "60 Hz"
    inside.name_revision(actor=technician, unit_id=unit.pk, revision_id=board.pk)
    inside.lay_out_again(actor=technician, unit_id=unit.pk)
    assert "look whether an old one is there" in fits(unit)["C61"]


def test_a_board_that_nobody_knew_is_entered_while_the_job_is_done(
    arrive: Callable[..., Unit], technician: Actor
) -> None:
    unit = arrive(44)
    inside.found_new_revision(actor=technician, unit_id=unit.pk, marking="QL-D9", how_to_tell="one chip")
    inside.lay_out_again(actor=technician, unit_id=unit.pk)
    unit.refresh_from_db()
    assert unit.revision is not None
    assert (unit.revision.marking, unit.edition, fits(unit)) == ("QL-D9", None, {})
    assert step(unit, "service").words == "Replace the cans"
    measure_board(actor=technician, revision_id=unit.revision.pk, board_mm=(160.0, 110.0))
    put_placement(actor=technician, revision_id=unit.revision.pk, spot=can("C1"))
    inside.lay_out_again(actor=technician, unit_id=unit.pk)
    assert fits(unit) == {"C1": "Fit C1: 100 µF 16 V, plus to the left"}
    assert "service" not in [each.code for each in queries.open_steps(unit)]


def test_a_marking_that_is_known_or_of_another_model_is_refused(
    arrive: Callable[..., Unit], technician: Actor, board: BoardRevision
) -> None:
    unit = arrive(45)
    with pytest.raises(Refused, match="revision_taken"):
        inside.found_new_revision(actor=technician, unit_id=unit.pk, marking="ql-b2")
    vesper = add_model(actor=technician, maker="Tessaro", name="Vesper 2")
    foreign = add_revision(actor=technician, model_id=vesper.pk, marking="TV-1")
    with pytest.raises(Refused, match="revision_of_other_model"):
        inside.name_revision(actor=technician, unit_id=unit.pk, revision_id=foreign.pk)
    unit.refresh_from_db()
    assert (unit.revision, unit.edition) == (None, None)


# Fasteners


def test_one_tap_takes_a_group_out_and_marks_the_unit_open(
    arrive: Callable[..., Unit], board: BoardRevision, technician: Actor
) -> None:
    unit = arrive(46, opened=False)
    for _tap in range(2):
        inside.take_group_out(actor=technician, unit_id=unit.pk, label="A", missing=1)
    unit.refresh_from_db()
    assert unit.opened
    assert len(trail_of(unit, "opened")) == 1
    assert [(group.label, group.out) for group in queries.fasteners(unit)] == [("A", 1)]
    with pytest.raises(Missing):
        inside.take_group_out(actor=technician, unit_id=unit.pk, label="Z")


def test_the_counter_works_at_no_bench(unit: Unit, helper: Actor, board: BoardRevision) -> None:
    about: dict[str, Any] = {"actor": helper, "unit_id": unit.pk}
    for act in (
        lambda: inside.lay_out_again(**about),
        lambda: inside.take_group_out(**about, label="A"),
        lambda: inside.name_revision(**about, revision_id=board.pk),
        lambda: inside.found_new_revision(**about, marking="QL-E1"),
        lambda: inside.tick_step(**about, step_id=step(unit, "unplug").pk),
    ):
        with pytest.raises(Refused, match="not_permitted"):
            act()


def test_a_sheet_is_laid_out_again_at_the_bench_only(unit: Unit, technician: Actor) -> None:
    with pytest.raises(Refused, match="not_at_bench"):
        inside.lay_out_again(actor=technician, unit_id=in_testing(unit).pk)
