"""What jobs chose at one price after another: plans drawn from it, and changes that follow it."""

from itertools import pairwise, product

import numpy as np
import pytest

from shop.planning.assigning.bounding import bound
from shop.planning.assigning.choices import Choices, choices_of, drawn_from
from shop.planning.assigning.compiled.annealing import anneal, state_of
from shop.planning.assigning.compiled.moves import Chosen, nothing_chosen
from shop.planning.assigning.compiled.ranks import ranks_of
from shop.planning.assigning.compiled.rows import rows_of
from shop.planning.assigning.ground import Ground
from shop.planning.assigning.improving import usual_delay
from shop.planning.assigning.laying import lay
from shop.planning.assigning.levelling import Levels
from shop.planning.assigning.plan_facts import Goal
from shop.planning.assigning.plan_tables import tabulate
from tests.benchmarks.tight_shops import Tight, draw
from tests.planning.plan_shop import any_shop, job, person, shop
from tests.planning.test_plan_search import by_rule


@pytest.fixture(scope="module")
def tight() -> Ground:
    return Ground(tabulate(draw(Tight(20, 3, 0.6, 0.4, 1, nights=True))))


@pytest.fixture(scope="module")
def choices(tight: Ground) -> Choices:
    found = bound(tight, by_rule(tight), 500, lambda: False).choices
    assert found is not None
    return found


def test_choices_are_of_the_last_prices_and_name_those_who_can_at_a_time_they_work(
    tight: Ground, choices: Choices
) -> None:
    assert choices.who.shape == choices.start.shape == (400, len(tight.tasks))
    for who, start in zip(choices.who[::40], choices.start[::40], strict=True):
        assert all(one in task.slots for one, task in zip(who.tolist(), tight.tasks, strict=True))
        working = [set(calendar.start[: calendar.within]) for calendar in tight.tables.calendars]
        assert all(slot in working[one] for one, slot in zip(who.tolist(), start.tolist(), strict=True))


def test_a_drawn_plan_takes_each_job_as_one_of_the_prices_has_it(tight: Ground, choices: Choices) -> None:
    """So the tasks of a job fit each other, whatever is drawn for the others."""
    drawn = drawn_from(tight, choices, 0)
    assert [each.value for each in drawn] == sorted({each.value for each in drawn})
    jobs = np.array([task.job for task in tight.tasks])
    for layout in drawn:
        assert lay(tight, layout.order, layout.who) == layout
        same = choices.who == np.array(layout.who)
        assert all(same[:, jobs == each].all(axis=1).any() for each in set(jobs.tolist()))


def test_the_same_seed_draws_the_same_plans_and_another_others(tight: Ground, choices: Choices) -> None:
    assert drawn_from(tight, choices, 3) == drawn_from(tight, choices, 3) != drawn_from(tight, choices, 4)


def test_the_best_drawn_plan_is_better_than_what_any_one_price_gives(tight: Ground, choices: Choices) -> None:
    alone = [Choices(choices.who[[at]], choices.start[[at]]) for at in range(0, 400, 4)]
    best = min(drawn_from(tight, each, 0)[0].value for each in alone)
    assert drawn_from(tight, choices, 0)[0].value < 0.8 * best


def test_changes_that_follow_choices_find_better_plans_in_the_same_time() -> None:
    """From the same plan, of 120 units by 8 technicians, and with four seeds each."""
    ground = Ground(tabulate(draw(Tight(120, 8, 0.4, 0.6, 1))))
    choices = bound(ground, by_rule(ground), 500, lambda: False).choices
    assert choices is not None
    rows, first = rows_of(ground), drawn_from(ground, choices, 0)[0]
    levels, usual = ranks_of(Levels(ground), rows.at, 0), usual_delay(ground)
    reached: dict[bool, list[int]] = {True: [], False: []}
    for told, seed in product((True, False), range(4)):
        chosen = Chosen(choices.who, choices.start) if told else nothing_chosen(len(ground.tasks))
        state, dice = state_of(rows, first.order, first.who, chosen), np.random.default_rng(seed)
        for warm, cold in pairwise((0.3, 0.15, 0.08, 0.04)):
            anneal(rows, state, levels, dice, warm * usual, cold * usual, 3_000_000)
        reached[told].append(int(state.best[0]))
    assert np.mean(reached[True]) < 0.95 * np.mean(reached[False])


def test_without_prices_there_are_no_choices() -> None:
    ground = Ground(tabulate(any_shop(1)))
    assert bound(ground, by_rule(ground), 0, lambda: False).choices is None
    last = Ground(tabulate(shop([person("ada", "solder")], [job("u1"), job("u2")], goal=Goal.LAST_END)))
    assert bound(last, by_rule(last), 10, lambda: False).choices is None


def test_a_start_is_the_slot_of_time_of_the_working_slot_that_was_chosen() -> None:
    ground = Ground(tabulate(shop([person("ada", "solder")], [job("u1"), job("u2")])))
    found = choices_of(ground, [(np.array([0, 0]), np.array([0, 32])), (np.array([0, 0]), np.array([5, 33]))])
    assert found.start.tolist() == [[36, 132], [41, 133]]
