"""A job sheet from what the library knows of the board: words, placements, tools, minutes; and what a finding asks."""

from dataclasses import replace
from typing import Any

import pytest

from shop.boards.models import BoardRevision, Placement, Service
from shop.boards.placement_actions import put_placement
from shop.boards.service_actions import add_service
from shop.boards.spots import Fit, Kind, Mount, Points, Side, Spot
from shop.boards.steps import use
from shop.core.actor import Actor
from shop.people.models import Place
from shop.units.models import Finding, Unit
from shop.work import order, outline
from shop.work.fastener_actions import group_out
from shop.work.models import JobStep
from shop.work.order import Job, tasks_of
from shop.work.outline import Task
from shop.work.queries import worked_from_library
from shop.work.repairs import repair_tasks, repair_words, usual_minutes
from shop.work.step_words import names, part_words, step_words
from shop.work.steps import DESOLDERING, make_job_sheet
from shop.work.wording import caution_for, evidence_for, is_hold_point
from tests.boards.conftest import CANS, enter_board
from tests.work.conftest import tick_with_evidence


@pytest.fixture
def known(at_bench: Unit, owner: Actor, lantern_b2: BoardRevision) -> Unit:
    """The unit with its board identified: cans C1 and C2, C61 on 50 Hz only, C70 empty, the regulator U8."""
    at_bench.revision, at_bench.edition = lantern_b2, enter_board(owner, lantern_b2)
    at_bench.save()
    return at_bench


@pytest.fixture
def cans(owner: Actor) -> Service:
    return add_service(
        actor=owner, code="cans", name="Recap", nature="replace", selects=["electrolytic"], steps=["Replace the cans"],
        cautions="Keep the old cans.",
    )  # fmt: skip


@pytest.fixture
def extra(owner: Actor) -> Service:
    """A modification that shortens a leg of a can and of the resistor, and brings a wire."""
    return add_service(
        actor=owner, code="extra", name="Video board", nature="modification", steps=["Fix the board"],
        cuts=["C2", "R3"], wires=[{"colour": "red", "length_mm": 85, "start": "U8 output", "end": "pad V"}],
    )  # fmt: skip


def make(actor: Actor, unit: Unit, *services: Service, findings: tuple[Finding, ...] = ()) -> list[JobStep]:
    return make_job_sheet(actor=actor, unit=unit, kind="work", services=services, findings=findings)


def inside(steps: list[JobStep]) -> list[JobStep]:
    return [step for step in steps if step.code in order.CODES or step.code == outline.SERVICE]


def the(steps: list[JobStep], code: str) -> JobStep:
    (found,) = [step for step in steps if step.code == code]
    return found


def test_it_lays_out_what_the_services_mean_on_this_board(
    known: Unit, technician: Actor, cans: Service, extra: Service
) -> None:
    known.variant = "60 Hz"
    steps = inside(make(technician, known, cans, extra))
    assert [(step.code, step.refs) for step in steps] == [
        ("trim_legs", ["C1", "C2"]), ("refresh", ["C1", "C2"]), ("remove", ["C1", "C2"]),
        ("clear_holes", ["C1", "C2"]), ("clean_pads", ["C1", "C2"]), ("fit", ["C2"]), ("fit", ["C1"]),
        ("polarity", ["C1", "C2"]), ("solder", ["C1", "C2"]), ("trim", ["C1", "C2"]),
        ("cut_leg", ["R3"]), ("service", []), ("wire", []),
    ]  # fmt: skip
    assert the(steps, "wire").words == "Wire: red, 85 mm, from U8 output to pad V"
    assert {step.service for step in steps if step.code in ("fit", "cut_leg", "wire")} == {cans, extra}


def test_it_says_in_words_what_goes_where_and_which_way_round(known: Unit, technician: Actor, cans: Service) -> None:
    fits = {step.refs[0]: step for step in make(technician, known, cans) if step.code == order.FIT}
    assert {ref: step.words for ref, step in fits.items()} == {
        "C2": "Fit C2: 10 µF 25 V, plus away from you",
        "C61": "Fit C61: 22 µF 16 V, plus to the left, only on 50 Hz: look whether an old one is there",
        "C1": "Fit C1: 1000 µF 16 V, plus to the left. The white stripe looks at the slot",
    }
    assert all(step.caution.endswith("Keep the old cans.") for step in fits.values())


def test_it_says_tool_minutes_and_what_must_come_with_the_tick(known: Unit, technician: Actor, cans: Service) -> None:
    steps = make(technician, known, cans)
    polarity, solder = the(steps, "polarity"), the(steps, "solder")
    assert (polarity.evidence, polarity.hold_point) == ("photo", True)
    assert "C1, C2, C61" in polarity.words
    assert (solder.tool, solder.minutes) == ("iron, 350 °C, about 3 s a joint; leaded solder", 2)
    assert (the(steps, "resistance").evidence, the(steps, "joints").evidence) == ("ohms", "photo")
    assert all(step.minutes > 0 for step in steps)
    more = replace(Task(order.SOLDER), refs=tuple(f"C{n}" for n in range(20)))
    assert step_words(more, {}).minutes == 12


def test_it_goes_by_the_benchs_equipment(
    known: Unit, technician: Actor, cans: Service, bench_one: Place, bench_two: Place
) -> None:
    flood = the(make(technician, known, cans), "remove")
    assert (flood.how, "never pull" in flood.words) == ("flood", True)
    bench_two.equipment = [DESOLDERING]
    bench_two.save()
    known.place = bench_two
    lift = the(make(technician, known, cans), "remove")
    assert (lift.how, "desoldering station" in lift.words) == ("station", True)


@pytest.mark.parametrize("kind", ["leak", "corrosion"])
def test_it_washes_surface_cans_first_when_something_leaked(
    known: Unit, technician: Actor, owner: Actor, cans: Service, kind: str
) -> None:
    Placement.objects.filter(designator__in=["C1", "C2"]).update(mount=Mount.SURFACE)
    known.variant = "60 Hz"
    assert "wash" not in [step.code for step in make(technician, known, cans)]
    Finding.objects.create(unit=known, kind=kind)
    codes = [step.code for step in inside(make(technician, known, cans))]
    assert codes[:4] == ["shield", "neutralise", "wash", "remove"]
    assert "refresh" not in codes


def test_it_goes_on_with_the_placements_that_are_left(known: Unit, technician: Actor, cans: Service) -> None:
    known.variant = "60 Hz"
    steps = make(technician, known, cans)
    assert not worked_from_library(known)
    for label in ("A", "B"):
        group_out(actor=technician, unit_id=known.pk, label=label)
    for step in steps:
        if step.code == "fit":
            break
        tick_with_evidence(technician, known, step)
    assert worked_from_library(known)
    known.variant, known.opened = "50 Hz", True  # somebody looked again: C61 is there after all
    left = inside(make(technician, known, cans))
    assert [(step.code, step.refs) for step in left] == [
        ("trim_legs", ["C61"]), ("refresh", ["C61"]), ("remove", ["C61"]), ("clear_holes", ["C61"]),
        ("clean_pads", ["C61"]), ("fit", ["C2"]), ("fit", ["C61"]), ("fit", ["C1"]),
        ("polarity", ["C1", "C2", "C61"]), ("solder", ["C1", "C2", "C61"]), ("trim", ["C1", "C2", "C61"]),
    ]  # fmt: skip


def test_it_uses_a_services_own_words_on_a_board_that_nobody_entered(
    at_bench: Unit, technician: Actor, cans: Service, extra: Service
) -> None:
    steps = inside(make(technician, at_bench, cans, extra))
    assert [step.words for step in steps] == [
        "Replace the cans",
        "Cut the leg of C2, R3 short",
        "Fix the board",
        "Wire: red, 85 mm, from U8 output to pad V",
    ]


def test_the_words_of_a_placement_fit_their_column_however_long_they_are() -> None:
    longest = Spot(
        designator="C12345678901", value="x" * 60, rating="y" * 30, kind=Kind.ELECTROLYTIC, positive=Points.UP,
        positive_checked=False, side=Side.BOTTOM, fit=Fit.VARIANT, variants=("v" * 30,), note="n" * 200,
    )  # fmt: skip
    room = JobStep._meta.get_field("words").max_length or 0
    said = step_words(Task(order.FIT, "recap", refs=(longest.designator,)), {longest.designator: longest})
    assert len(said.words) <= room
    every = tuple(f"C1234567-{number}" for number in range(100, 200))
    for code in set(order.CODES) - {order.FIT, order.WIRE, order.REPAIR, order.SAVE_DATA}:
        for how in ("station", "flood", "surface", "leaked") if code == order.REMOVE else ("",):
            assert len(step_words(Task(code, refs=every, how=how), {}).words) <= room


def test_it_names_the_first_of_many_placements_and_counts_the_rest() -> None:
    every = [f"C{number}" for number in range(1, 41)]
    assert names(every[:3]) == "C1, C2, C3"
    said, tail = names(every).split(" and ")
    assert said.split(", ") == every[: said.count(",") + 1]
    assert tail == f"{40 - said.count(',') - 1} more"


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"value": "", "rating": ""}, "C1"),
        ({"value": "10 µF"}, "C1: 10 µF"),
        ({"value": "10 µF", "kind": Kind.FILM, "positive": Points.LEFT}, "C1: 10 µF"),
        ({"kind": Kind.TANTALUM, "positive": Points.RIGHT}, "C1, plus to the right"),
        (
            {"kind": Kind.BATTERY, "positive": Points.DOWN, "side": Side.BOTTOM},
            "C1, plus towards you, on the solder side",
        ),
        (
            {"kind": Kind.DIODE, "positive": Points.UP, "positive_checked": False},
            "C1, plus away from you, not checked: look at the board",
        ),
    ],
)  # fmt: skip
def test_it_words_a_placement(changes: dict[str, Any], said: str) -> None:
    assert part_words(Spot(designator="C1", **changes), "C1") == said


def test_it_words_every_step_of_the_order() -> None:
    spots = {"C1": Spot(designator="C1", kind=Kind.ELECTROLYTIC, positive=Points.LEFT)}
    for code in order.CODES:
        how = "station" if code == order.REMOVE else ""
        own = "Own words" if code in (order.WIRE, order.REPAIR) else ""
        said = step_words(Task(code, words=own, refs=("C1",), how=how), spots)
        assert said.words
        assert said.minutes > 0
        assert "{" not in said.words


def finding(unit: Unit, kind: str = "lifted_pad", **facts: Any) -> Finding:
    return Finding.objects.create(unit=unit, kind=kind, **{"repair": "now", **facts})


def test_a_finding_to_be_mended_brings_a_step_with_its_words(known: Unit, technician: Actor, cans: Service) -> None:
    found = finding(known, words="below C2, rear\nsecond line")
    steps = inside(make(technician, known, cans, findings=(found,)))
    mend = the(steps, "repair")
    assert mend.words == "Lifted pad (below C2, rear): clean it, lay it flat, bridge it with fine wire"
    assert [step.code for step in steps].index("clean_pads") + 1 == steps.index(mend)
    assert the(steps, "clean_pads").position < mend.position < the(steps, "polarity").position
    assert caution_for(order.REPAIR, known.model)
    assert (evidence_for(order.REPAIR, known.model), is_hold_point(order.REPAIR, known.model)) == ("", False)


def test_a_repair_takes_the_minutes_of_its_finding(known: Unit, technician: Actor) -> None:
    found = finding(known, "corrosion", repair_minutes=40)
    assert the(make(technician, known, findings=(found,)), "repair").minutes == 40


@pytest.mark.parametrize("kind", ["lifted_pad", "corrosion", "leak", "earlier_work"])
def test_a_repair_takes_the_usual_minutes_where_the_finding_names_none(
    known: Unit, technician: Actor, kind: str
) -> None:
    found = finding(known, kind)
    assert the(make(technician, known, findings=(found,)), "repair").minutes == usual_minutes(kind)


def test_each_kind_of_finding_is_worded_and_fits_its_column(at_bench: Unit) -> None:
    room = JobStep._meta.get_field("words").max_length or 0
    for kind in Finding.Kind.values:
        found = Finding(unit=at_bench, kind=kind, words="w" * 1000)
        assert 0 < len(repair_words(found)) <= room
        assert usual_minutes(kind) > 0
    assert repair_words(Finding(kind="damage")) == "Mend what was found"


def test_repairs_come_once_for_each_finding() -> None:
    found = [Finding(kind="lifted_pad"), Finding(kind="lifted_pad", words="C2")]
    assert [task.words for task in tasks_of([Job(service_id="a")], repairs=repair_tasks(found))] == [
        repair_words(each) for each in found
    ]


def test_it_keeps_the_sheet_when_nothing_has_changed(
    known: Unit, technician: Actor, cans: Service, extra: Service
) -> None:
    found = finding(known)
    made = make(technician, known, cans, extra, findings=(found,))
    assert make(technician, known, cans, extra, findings=(found,)) == made
    assert JobStep.objects.count() == len(made)


def test_it_lays_out_anew_when_the_library_learned_another_value(
    known: Unit, technician: Actor, cans: Service, lantern_b2: BoardRevision
) -> None:
    make(technician, known, cans)
    use(lantern_b2.pk)
    corrected = replace(CANS[1], value="47 µF", positive=Points.RIGHT)
    put_placement(actor=technician, revision_id=lantern_b2.pk, spot=corrected)
    known.edition = use(lantern_b2.pk)
    fits = {step.refs[0]: step.words for step in make(technician, known, cans) if step.code == order.FIT}
    assert fits["C2"] == "Fit C2: 47 µF 25 V, plus to the right"
