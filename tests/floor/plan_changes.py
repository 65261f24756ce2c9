"""Every action of the shop: those that change what a plan is made from, done on the demo's house, and all others."""

from datetime import date, time

from shop.core.actor import SYSTEM
from shop.core.profile import change_profile
from shop.floor.flows import bench, days, inside, intake, money, pickup, quote, testing
from shop.floor.stages import Move
from shop.people import actions as people
from shop.planning import actions as planning
from shop.quotes.actions import expire_quote
from shop.testing.actions import retire_test_point
from shop.units import actions as units
from tests.floor.planned import (
    Act,
    add_person,
    add_place,
    approved_quote,
    asked,
    at_bench,
    at_counter,
    by_owner,
    change_bench,
    find,
    give_back,
    go_ahead,
    hand_back,
    jun,
    pay,
    person,
    quote_of,
    recap,
    retire,
    retire_recap,
    revision,
    settle,
    shelf,
    shift_of,
    soak,
    tick_repair,
    untick_repair,
    wish_of,
    write_up,
)

DAY = date(2026, 3, 12)
# Each action by its name, the fixture that it begins from, and how it is done.
CHANGES: list[tuple[str, str, Act]] = [
    ("flows.intake.write_up", "queued", write_up),
    ("flows.intake.take_in", "written_up", lambda j: j.take_in()),
    ("flows.intake.refuse", "written_up", lambda j: intake.refuse(**at_bench(j), text="Swollen battery")),
    ("flows.bench.start", "queued", lambda j: j.start(Move.START_DIAGNOSIS, 0)),
    ("flows.bench.finish_diagnosis", "opened", lambda j: j.look_inside("QL-B2")),
    ("flows.bench.start", "approved", lambda j: j.start(Move.START_WORK, 0)),
    ("flows.bench.park", "at_work", lambda j: bench.park(**at_bench(j), text="A can", hold="parts", due_on=DAY)),
    ("flows.bench.place_unit", "at_work", lambda j: bench.place_unit(**at_bench(j), place_id=j.house.benches[1].id)),
    (
        "flows.inside.name_revision",
        "at_work",
        lambda j: inside.name_revision(**at_bench(j), revision_id=revision("QL-B1")),
    ),
    ("flows.inside.found_new_revision", "at_work", lambda j: inside.found_new_revision(**at_bench(j), marking="QL-B7")),
    ("flows.inside.tick_step", "at_work", tick_repair),
    ("work.actions.tick", "at_work", tick_repair),
    ("work.actions.untick", "mended", untick_repair),
    ("flows.bench.finish_bench", "at_work", lambda j: j.work()),
    (
        "flows.bench.hold_unit",
        "queued",
        lambda j: bench.hold_unit(**at_bench(j), kind="parts", text="A can", due_on=DAY),
    ),
    ("flows.bench.lift_hold", "held", lambda j: bench.lift_hold(**at_bench(j), kind="parts")),
    (
        "flows.testing.take_reading",
        "tested",
        lambda j: testing.take_reading(**at_bench(j), point_id=soak(), answer=True),
    ),
    ("flows.testing.pass_test", "tested", lambda j: j.passes()),
    ("flows.testing.fail_test", "tested", lambda j: testing.fail_test(**at_bench(j), text="No sound")),
    ("flows.testing.recall", "ready", hand_back),
    ("flows.pickup.return_unopened", "declined", lambda j: pickup.return_unopened(**at_counter(j))),
    ("flows.quote.send_quote", "queued", lambda j: j.quote()),
    ("flows.quote.withdraw_quote", "sent", lambda j: quote.withdraw_quote(**quote_of(j), reason="A slip")),
    ("flows.quote.decide_quote", "sent", lambda j: j.answer(approve=True)),
    ("flows.quote.decide_quote", "sent", lambda j: j.answer(approve=False)),
    ("flows.quote.go_ahead", "drafted", go_ahead),
    ("quotes.actions.expire_quote", "run_out", lambda j: expire_quote(**quote_of(j) | {"actor": SYSTEM})),
    ("flows.days.approved", "without_a_day", lambda j: days.approved(actor=SYSTEM, subject_id=approved_quote(j))),
    ("flows.days.name", "without_a_day", lambda j: days.name(wish_of(j), actor=SYSTEM)),
    ("flows.days.deposit_over", "paid_without_a_day", lambda j: days.deposit_over(actor=SYSTEM, subject_id=asked(j))),
    ("flows.money.take_payment", "waits_for_deposit", pay),
    ("books.actions.take_payment", "waits_for_deposit", pay),
    ("flows.money.give_back", "deposit_paid", lambda j: give_back(j, 1)),
    ("books.actions.give_back", "deposit_paid", lambda j: give_back(j, 1)),
    (
        "flows.money.waive_deposit",
        "waits_for_deposit",
        lambda j: money.waive_deposit(**at_counter(j), reason="A regular"),
    ),
    (
        "books.deposits.waive_deposit",
        "waits_for_deposit",
        lambda j: money.waive_deposit(**at_counter(j), reason="Known"),
    ),
    ("units.actions.add_finding", "approved", lambda j: find(j, "now")),
    ("units.actions.settle_finding", "at_work", settle),
    (
        "units.actions.decide_comeback",
        "comeback",
        lambda j: units.decide_comeback(actor=j.house.owner, unit_id=j.unit.id, free=True, reason="Our joint"),
    ),
    ("boards.service_actions.change_service", "approved", lambda j: recap(j, name="New capacitors")),
    ("boards.service_actions.change_service", "approved", lambda j: recap(j, minutes=95)),
    ("boards.service_actions.change_service", "approved", lambda j: recap(j, minutes_spread=12)),
    ("boards.service_actions.change_service", "approved", lambda j: recap(j, skill="fine soldering")),
    ("boards.service_actions.change_service", "approved", lambda j: recap(j, equipment=["microscope"])),
    ("people.staff_actions.add_staff", "queued", lambda j: add_person(j, "technician")),
    (
        "people.staff_actions.change_staff_role",
        "queued",
        lambda j: people.change_staff_role(**person(j, "pim"), role="owner"),
    ),
    (
        "people.staff_actions.change_staff_role",
        "queued",
        lambda j: people.change_staff_role(**person(j, "jun"), role="counter"),
    ),
    ("people.staff_actions.retire_staff", "queued", lambda j: people.retire_staff(**person(j, "jun"))),
    ("people.place_actions.add_place", "queued", lambda j: add_place(j, "bench")),
    ("people.place_actions.change_place", "queued", lambda j: change_bench(j, capacity=3)),
    ("people.place_actions.change_place", "queued", lambda j: change_bench(j, equipment=["hot air"])),
    ("people.place_actions.change_place", "queued", lambda j: change_bench(j, name="By the window")),
    ("people.place_actions.retire_place", "queued", lambda j: retire(j, j.house.benches[2])),
    ("core.profile.change_profile", "queued", lambda j: change_profile(actor=j.house.owner, time_zone="Asia/Tokyo")),
    ("core.profile.change_profile", "queued", lambda j: change_profile(actor=j.house.owner, minutes_per_day=420)),
    ("core.profile.change_profile", "queued", lambda j: change_profile(actor=j.house.owner, promise_percent=90)),
    ("core.profile.change_profile", "queued", lambda j: change_profile(actor=j.house.owner, holidays_of="DE")),
    (
        "planning.facts_actions.set_figures",
        "queued",
        lambda j: planning.set_figures(
            actor=j.house.owner, version=None, promise_percent=80, holidays_of="US", minutes_per_day=400
        ),
    ),
    (
        "testing.actions.retire_test_point",
        "approved",
        lambda j: retire_test_point(actor=j.house.owner, point_id=soak()),
    ),
    (
        "planning.actions.promise_by_hand",
        "approved",
        lambda j: planning.promise_by_hand(**by_owner(j), on=date(2026, 5, 4)),
    ),
    (
        "planning.facts_actions.add_shifts",
        "queued",
        lambda j: planning.add_shifts(**jun(j), weekdays=[5], begins=time(9), ends=time(12)),
    ),
    ("planning.facts_actions.add_day_off", "queued", lambda j: planning.add_day_off(**jun(j), from_day=DAY)),
    (
        "planning.facts_actions.add_extra_day",
        "queued",
        lambda j: planning.add_extra_day(**jun(j), day=date(2026, 3, 14), begins=time(9), ends=time(12)),
    ),
    (
        "planning.facts_actions.set_skill",
        "approved",
        lambda j: planning.set_skill(**jun(j), skill="fine soldering", percent=120),
    ),
    (
        "planning.facts_actions.set_alone",
        "approved",
        lambda j: planning.set_alone(actor=j.house.owner, minutes=45, point_id=soak()),
    ),
    (
        "planning.facts_actions.remove_fact",
        "queued",
        lambda j: planning.remove_fact(actor=j.house.owner, kind="shift", fact_id=shift_of(j)),
    ),
    (
        "planning.pin_actions.pin_unit",
        "approved",
        lambda j: planning.pin_unit(**by_owner(j), technician_id=jun(j)["technician_id"]),
    ),
    ("planning.pin_actions.unpin_unit", "pinned", lambda j: planning.unpin_unit(**by_owner(j))),
    ("planning.pin_actions.put_first", "approved", lambda j: planning.put_first(**by_owner(j))),
    ("planning.pin_actions.put_back", "first", lambda j: planning.put_back(**by_owner(j))),
]

LEAVES_ALONE: list[tuple[str, str, Act]] = [
    ("boards.service_actions.change_service", "approved", lambda j: recap(j, price_minor=7000, says="As new")),
    ("boards.service_actions.retire_service", "approved", retire_recap),
    ("people.staff_actions.add_staff", "queued", lambda j: add_person(j, "counter")),
    ("people.place_actions.add_place", "queued", lambda j: add_place(j, "shelf")),
    (
        "core.profile.change_profile",
        "queued",
        lambda j: change_profile(actor=j.house.owner, time_zone="America/New_York"),
    ),
    ("core.profile.change_profile", "queued", lambda j: change_profile(actor=j.house.owner, deposit_percent=30)),
    ("units.actions.add_finding", "approved", lambda j: find(j, "offered")),
    (
        "units.actions.change_written_up",
        "queued",
        lambda j: units.change_written_up(**at_bench(j), complaint="Grey picture, and hum"),
    ),
    ("flows.bench.place_unit", "queued", lambda j: bench.place_unit(**at_bench(j), place_id=shelf("Shelf B"))),
    ("flows.money.take_payment", "waits_for_deposit", lambda j: pay(j, short_by=1)),
    ("flows.money.give_back", "waits_for_deposit", lambda j: (pay(j, short_by=100), give_back(j, 50))),
    ("flows.money.give_back", "all_paid", lambda j: give_back(j, 50)),
    ("flows.money.give_back", "at_work_paid", lambda j: give_back(j, 50)),
    ("flows.inside.lay_out_again", "at_work", lambda j: inside.lay_out_again(**at_bench(j))),
    ("flows.pickup.hand_over", "ready", lambda j: j.leaves()),
]

# Actions that write nothing that a plan is made from, by module. That a reading is of a soak the flow knows.
_ELSEWHERE = {
    "boards.actions": "add_model add_revision retire_model",
    "boards.board_actions": "describe_revision measure_board put_picture put_point",
    "boards.case_actions": "amend_fastener put_fastener take_fastener_out",
    "boards.placement_actions": "amend_placement put_placement take_placement_out",
    "boards.service_actions": "add_service retire_service set_service_parts",
    "boards.table_actions": "import_fasteners import_placements",
    "core.photos": "add_photo",
    "floor.scans": "found_place found_unit",
    "flows.inside": "lay_out_again take_fasteners_out take_group_out",
    "flows.intake": "announce record_arrival record_departure",
    "flows.lost_link": "wish_for_links",
    "flows.pickup": "bill hand_over renew_link revoke_link sell",
    "flows.reckon": "keep_reckoning",
    "notices.choices": "choose_messages",
    "notices.reports": "take_bounce take_sms_report",
    "notices.sending": "send_again send_envelope",
    "notices.template_actions": "back_to_standard keep_template preview try_out",
    "parts.actions": "add_part add_supplier change_part retire_part",
    "people.customer_actions": "add_customer change_customer choose_language",
    "people.second_factor": "begin end",
    "people.staff_actions": "set_password",
    "people.token_actions": "issue_token revoke_token",
    "quotes.actions": "change_quote draft_quote remind",
    "quotes.papers": "paper_of",
    "quotes.questions": "answer ask",
    "quotes.template_actions": "keep_as_template retire_template set_markup",
    "stock.actions": "issue_kit receive_lot release_kit reserve_kit",
    "testing.actions": "add_test_point record_free_reading record_reading",
    "units.actions": (
        "add_bag add_cost add_unit_photo change_written_up end_waiting put_on_waiting_list record_incident"
    ),
    "units.links": "shown_address",
    "work.fastener_actions": "fasteners_back fasteners_out group_out write_off_fasteners",
}
# These do as they are told, or as the plan that was made says.
_ABOUT_PLANS = {"planning.actions.ask_for_plan", "planning.actions.make_plan"}
NEVER = {f"{module}.{verb}" for module, verbs in _ELSEWHERE.items() for verb in verbs.split()} | _ABOUT_PLANS
