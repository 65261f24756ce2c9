"""The order of the work inside, as lists of codes.

Every order here is common practice at a repair bench. Through-hole parts: long legs are trimmed, old joints get a
little new solder, the part comes out, the holes are cleared, the places are cleaned; the new parts go in with the
lowest first, the polarity is looked at before any of them is soldered, then come soldering and trimming. A part that
sits on a heat sink is screwed to it first and soldered last, or the screw would pull at the joints. What leaked from
surface-mount cans is neutralised and washed before heat gets at it, and no fresh solder goes on such a joint.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.boards.selecting import selected
from shop.boards.spots import Fit, Kind, Mount, Points, Side, Spot
from shop.work import order
from shop.work.order import Circumstances, Job, tasks_of
from shop.work.outline import SERVICE, Task, still_to_do
from shop.work.step_words import step_words


def can(designator: str, height_mm: float | None = None, **changes: Any) -> Spot:
    usual: dict[str, Any] = {"kind": Kind.ELECTROLYTIC, "positive": Points.LEFT, "value": "100 µF", "rating": "16 V"}
    return Spot(designator=designator, height_mm=height_mm, **usual | changes)


C1, C2, C3 = can("C1", 20.0), can("C2", 7.0), can("C3", 11.0)
U8 = Spot(designator="U8", kind=Kind.REGULATOR)
SMD4, SMD5 = can("C4", mount=Mount.SURFACE), can("C5", mount=Mount.SURFACE)
CHIP = Spot(designator="C9", kind=Kind.CERAMIC, mount=Mount.SURFACE)
RECAP = Job(service_id="recap", nature="replace", words=("Replace the cans",), spots=(C1, C2, C3))
REGULATOR = Job(service_id="regulator", nature="regulator", spots=(U8,))
VIDEO = Job(
    service_id="video", nature="modification", words=("Fix the board",), cuts=("C2", "R7"), wires=("Red", "Black")
)


def told(tasks: Sequence[Task]) -> list[str]:
    """Return each task as its code and what it is about."""
    return [" ".join((task.code, task.words or " ".join(task.refs))).strip() for task in tasks]


def codes(tasks: Sequence[Task]) -> list[str]:
    return [task.code for task in tasks]


def test_it_orders_a_recap_a_regulator_and_a_modification_as_the_trade_does() -> None:
    assert told(tasks_of([RECAP, REGULATOR, VIDEO])) == [
        "heatsink_off U8",
        "trim_legs C1 C2 C3 U8",
        "refresh C1 C2 C3 U8",
        "remove C1 C2 C3 U8",
        "clear_holes C1 C2 C3 U8",
        "clean_pads C1 C2 C3 U8",
        "fit C2",
        "fit C3",
        "fit C1",
        "polarity C1 C2 C3",
        "solder C1 C2 C3",
        "trim C1 C2 C3",
        "cut_leg R7",
        "service Fix the board",
        "wire Red",
        "wire Black",
        "heatsink_fix U8",
        "heatsink_on U8",
        "solder U8",
        "trim U8",
    ]


def test_it_orders_the_same_whichever_service_was_agreed_first() -> None:
    one, other = tasks_of([RECAP, REGULATOR, VIDEO]), tasks_of([VIDEO, REGULATOR, RECAP])
    assert codes(one) == codes(other)


def test_it_cuts_a_leg_that_no_new_part_was_trimmed_for() -> None:
    assert [task.refs for task in tasks_of([VIDEO]) if task.code == order.CUT_LEG] == [("C2", "R7")]
    trimmed = replace(VIDEO, cuts=("C2",))
    assert order.CUT_LEG not in codes(tasks_of([RECAP, trimmed]))


def test_it_washes_what_leaked_before_any_heat_and_puts_no_fresh_solder_on_it() -> None:
    job = Job(service_id="recap", nature="replace", spots=(SMD4, SMD5))
    tasks = tasks_of([job], given=Circumstances(leaking=True))
    assert told(tasks) == [
        "shield C4 C5", "neutralise C4 C5", "wash C4 C5", "remove C4 C5", "clean_pads C4 C5",
        "fit C4", "fit C5", "polarity C4 C5", "solder C4 C5",
    ]  # fmt: skip
    said = step_words(tasks[3], {}).words
    assert "washed" in said
    assert "no fresh solder" in said


def test_it_tells_leaked_cans_from_sound_parts_beside_them() -> None:
    job = Job(service_id="recap", nature="replace", spots=(SMD4, CHIP, C1))
    tasks = tasks_of([job], given=Circumstances(leaking=True))
    assert told(tasks)[:9] == [
        "shield C4 C9", "neutralise C4", "wash C4", "trim_legs C1", "refresh C1 C9",
        "remove C4", "remove C9", "remove C1", "clear_holes C1",
    ]  # fmt: skip
    assert [task.how for task in tasks if task.code == order.REMOVE] == ["leaked", "surface", "station"]


def test_it_puts_fresh_solder_on_surface_joints_that_are_sound() -> None:
    tasks = tasks_of([Job(service_id="recap", nature="replace", spots=(SMD4,))])
    assert told(tasks)[:3] == ["shield C4", "refresh C4", "remove C4"]


def test_it_floods_the_joints_where_there_is_no_desoldering_station() -> None:
    with_one = tasks_of([RECAP])
    without = tasks_of([RECAP], given=Circumstances(desoldering_station=False))
    assert codes(with_one) == codes(without)
    (remove,) = [task for task in without if task.code == order.REMOVE]
    assert remove.how == "flood"
    said = step_words(remove, {})
    assert all(word in said.words for word in ("C1, C2, C3", "flood", "rock", "never pull"))
    assert "desoldering station" not in said.tool
    (lift,) = [task for task in with_one if task.code == order.REMOVE]
    assert "desoldering station" in step_words(lift, {}).words


def test_it_saves_the_data_before_a_battery_comes_out() -> None:
    cell = Spot(designator="BT1", kind=Kind.BATTERY, positive=Points.UP)
    tasks = tasks_of([RECAP, Job(service_id="cell", nature="battery", spots=(cell,))])
    assert tasks[0] == Task(order.SAVE_DATA)
    assert codes(tasks).count(order.SAVE_DATA) == 1
    assert "Save the player's data" in step_words(tasks[0], {}).words
    assert told(tasks_of([Job(service_id="cell", nature="battery", words=("Change the cell",))])) == [
        "save_data", "service Change the cell",
    ]  # fmt: skip


BOARD = (
    C1,
    can("C61", fit=Fit.VARIANT, variants=("50 Hz",)),
    can("C70", fit=Fit.EMPTY),
)


@pytest.mark.parametrize(
    ("variant", "fitted"), [("50 Hz", ["C61", "C1"]), ("60 Hz", ["C1"]), ("", ["C61", "C1"])]
)  # fmt: skip
def test_it_touches_neither_empty_positions_nor_those_of_another_variant(variant: str, fitted: list[str]) -> None:
    spots = selected(BOARD, ["electrolytic"], variant=variant)
    tasks = tasks_of([Job(service_id="recap", nature="replace", spots=spots)])
    assert [task.refs[0] for task in tasks if task.code == order.FIT] == fitted
    assert {ref for task in tasks for ref in task.refs} == set(fitted)


def test_it_says_to_look_where_a_position_depends_on_the_variant() -> None:
    spots = {spot.designator: spot for spot in BOARD}
    said = step_words(Task(order.FIT, "recap", refs=("C61",)), spots).words
    assert "only on 50 Hz: look whether an old one is there" in said
    assert "look" not in step_words(Task(order.FIT, "recap", refs=("C1",)), spots).words


def test_it_mends_what_was_found_when_the_old_parts_are_out_and_before_the_new_go_in() -> None:
    mend = Task(order.REPAIR, words="Lifted pad")
    assert told(tasks_of([RECAP], repairs=[mend]))[4:7] == ["clean_pads C1 C2 C3", "repair Lifted pad", "fit C2"]
    assert tasks_of([], repairs=[mend]) == [mend]


def test_it_uses_a_services_own_words_where_no_placement_is_known() -> None:
    unknown = replace(RECAP, spots=(), words=("Remove", "Fit"))
    assert tasks_of([unknown]) == [Task(SERVICE, "recap", "Remove"), Task(SERVICE, "recap", "Fit")]
    assert SERVICE not in codes(tasks_of([RECAP]))


def test_it_puts_other_work_after_what_is_soldered_and_before_the_heat_sink() -> None:
    clean = Job(service_id="clean", nature="other", words=("Clean the contacts",))
    found = told(tasks_of([clean, REGULATOR, RECAP]))
    at = found.index("service Clean the contacts")
    assert found.index("trim C1 C2 C3") < at < found.index("heatsink_fix U8")


def test_it_fits_by_the_usual_height_of_the_kind_where_none_is_known() -> None:
    diode, tall, plug = Spot(designator="D1", kind=Kind.DIODE), can("C8"), Spot(designator="J1", kind=Kind.CONNECTOR)
    assert order.refs(order.lowest_first([plug, tall, diode, can("C7", 2.0)])) == ("C7", "D1", "C8", "J1")


MANY = order.SINGLY + 1


def fit_refs(spots: Sequence[Spot]) -> list[tuple[str, ...]]:
    tasks = tasks_of([Job(service_id="all", nature="replace", spots=tuple(spots))])
    return [task.refs for task in tasks if task.code == order.FIT]


def test_it_fits_each_part_by_itself_until_there_are_very_many() -> None:
    few = [can(f"C{number}", 11.0) for number in range(order.SINGLY)]
    assert fit_refs(few) == [(spot.designator,) for spot in few]


def test_it_fits_like_parts_of_very_many_together_a_dozen_at_a_time_and_the_lowest_first() -> None:
    tall = [can(f"C{number}", 20.0) for number in range(MANY)]
    low = [can(f"C{number}", 7.0, value="10 µF") for number in range(900, 914)]
    groups = fit_refs([*tall, *low])
    assert all(len(group) <= order.DOZEN for group in groups)
    assert [ref for group in groups for ref in group] == list(order.refs([*low, *tall]))
    assert groups[:2] == [order.refs(low[:12]), order.refs(low[12:])]


@pytest.mark.parametrize(
    "changes",
    [
        {"value": "47 µF"}, {"rating": "25 V"}, {"positive": Points.UP}, {"positive_checked": False},
        {"side": Side.BOTTOM}, {"note": "Look"}, {"fit": Fit.VARIANT, "variants": ("50 Hz",)},
    ],
)  # fmt: skip
def test_it_fits_nothing_together_that_is_said_in_other_words(changes: dict[str, Any]) -> None:
    """What stands beside a part is said of every part in the step, so all of them must be alike in it."""
    usual = [can(f"C{number}", 11.0) for number in range(MANY)]
    odd = replace(usual[3], **changes)
    groups = fit_refs([*usual[:3], odd, *usual[4:]])
    assert [group for group in groups if "C3" in group] == [("C3",)]


def test_it_asks_for_no_polarity_where_nothing_is_polarised() -> None:
    film = Spot(designator="C50", kind=Kind.FILM)
    assert order.POLARITY not in codes(tasks_of([Job(service_id="film", nature="replace", spots=(film,))]))


def test_it_cuts_a_leg_once_though_two_modifications_ask_for_it() -> None:
    switch = Job(service_id="switch", nature="modification", cuts=("R7",))
    cut = [ref for task in tasks_of([VIDEO, switch]) if task.code == order.CUT_LEG for ref in task.refs]
    assert Counter(cut) == {"C2": 1, "R7": 1}


def test_it_cuts_no_leg_of_a_part_that_is_not_on_the_board_then() -> None:
    job = Job(service_id="video", nature="modification", cuts=("U8",))
    found = told(tasks_of([REGULATOR, job]))
    assert "cut_leg U8" not in found  # the new one's legs are trimmed after the heat sink is on


def test_it_looks_at_the_polarity_of_a_polarised_part_on_the_heat_sink_before_it_is_soldered() -> None:
    diode = Spot(designator="D9", kind=Kind.DIODE, positive=Points.RIGHT)
    found = told(tasks_of([Job(service_id="rectifier", nature="regulator", spots=(diode,))]))
    assert "polarity D9" in found
    assert found.index("polarity D9") < found.index("solder D9")


designators = [f"{letter}{number}" for letter in "CDU" for number in range(1, 6)]
kinds = st.sampled_from(list(Kind))


@st.composite
def boards(draw: st.DrawFn) -> list[Spot]:
    chosen = draw(st.lists(st.sampled_from(designators), unique=True, max_size=10))
    heights = st.none() | st.floats(1, 30)
    return [
        Spot(
            designator=designator,
            kind=draw(kinds),
            mount=draw(st.sampled_from(list(Mount))),
            height_mm=draw(heights),
            positive=Points.LEFT,
        )
        for designator in chosen
    ]


@st.composite
def jobs_on_a_board(draw: st.DrawFn) -> list[Job]:
    spots = draw(boards())
    natures = draw(st.lists(st.sampled_from(["replace", "regulator", "modification", "battery", "other"]), max_size=5))
    of_board = st.lists(st.sampled_from(spots), unique=True, max_size=6) if spots else st.just([])
    return [
        Job(
            service_id=f"service-{number}",
            nature=nature,
            words=tuple(draw(st.lists(st.sampled_from(["Fix it", "Look at it"]), max_size=2))),
            spots=tuple(draw(of_board)) if nature != "modification" else (),
            wires=tuple(draw(st.lists(st.sampled_from(["Red", "Blue"]), max_size=2))),
        )
        for number, nature in enumerate(natures)
    ]


circumstances = st.builds(Circumstances, leaking=st.booleans(), desoldering_station=st.booleans())
repairs = st.lists(st.builds(Task, st.just(order.REPAIR), words=st.sampled_from(["Pad", "Trace"])), max_size=3)


def places(tasks: Sequence[Task], *wanted: str) -> dict[str, list[int]]:
    """Return for each designator where in the tasks it is about one of the codes."""
    found: dict[str, list[int]] = {}
    for at, task in enumerate(tasks):
        for ref in task.refs if task.code in wanted else ():
            found.setdefault(ref, []).append(at)
    return found


@given(jobs=jobs_on_a_board(), circumstance=circumstances)
def test_it_removes_before_it_fits_solders_what_is_fitted_and_trims_what_is_soldered(
    jobs: list[Job], circumstance: Circumstances
) -> None:
    tasks = tasks_of(jobs, given=circumstance)
    removed, fitted = places(tasks, order.REMOVE), places(tasks, *order.FITTING)
    soldered, trimmed = places(tasks, order.SOLDER), places(tasks, order.TRIM)
    wanted = {spot.designator for job in jobs for spot in job.spots}
    assert removed.keys() == fitted.keys() == soldered.keys() == wanted
    assert all(len(at) == 1 for each in (removed, fitted, soldered, trimmed) for at in each.values())
    assert all(removed[ref] < fitted[ref] < soldered[ref] for ref in wanted)
    assert all(soldered[ref] < trimmed[ref] for ref in trimmed)
    on = places(tasks, order.HEATSINK_ON)
    assert all(fitted[ref] < on[ref] < soldered[ref] for ref in on)


@given(jobs=jobs_on_a_board(), circumstance=circumstances)
def test_it_heats_nothing_that_leaked_before_it_is_washed(jobs: list[Job], circumstance: Circumstances) -> None:
    tasks = tasks_of(jobs, given=circumstance)
    washed = places(tasks, order.WASH)
    heated = places(tasks, order.REFRESH, order.REMOVE, order.SOLDER)
    assert bool(washed) <= circumstance.leaking
    assert all(washed[ref][0] < heated[ref][0] for ref in washed)
    assert not washed.keys() & places(tasks, order.REFRESH).keys()


@given(
    jobs=jobs_on_a_board(), mends=repairs, then=circumstances, later=circumstances, stop=st.integers(0, 60),
)  # fmt: skip
def test_it_loses_and_repeats_nothing_when_the_work_is_taken_up_again(
    *, jobs: list[Job], mends: list[Task], then: Circumstances, later: Circumstances, stop: int
) -> None:
    """Placement by placement, even at another bench: only what leaked may ask for other steps later."""
    later = replace(later, leaking=then.leaking)
    wanted = tasks_of(jobs, repairs=mends, given=then)
    done = wanted[:stop]
    left = still_to_do(
        kind="work",
        service_tasks=tasks_of(jobs, repairs=mends, given=later),
        done=done,
        opened=True,
        failed_tests=0,
    )
    inside = [task for task in left if task.code in order.CODES or task.code == SERVICE]
    assert Counter(atom for task in [*done, *inside] for atom in task.atoms) == Counter(
        atom for task in wanted for atom in task.atoms
    )


@given(jobs=jobs_on_a_board(), drop=st.integers(0, 4), stop=st.integers(0, 60))
def test_it_fits_nothing_twice_when_a_service_is_agreed_later(jobs: list[Job], drop: int, stop: int) -> None:
    done = tasks_of(jobs[:drop])[:stop]
    left = still_to_do(kind="work", service_tasks=tasks_of(jobs), done=done, opened=True, failed_tests=0)
    fitted = Counter(ref for task in [*done, *left] if task.code == order.FIT for ref in task.refs)
    assert all(times == 1 for times in fitted.values())
