"""A board in the library: what may be entered, and that what units are worked from never changes."""

from dataclasses import replace
from typing import Any

import pytest

from shop.boards import queries, steps
from shop.boards.actions import add_model, add_revision
from shop.boards.board_actions import describe_revision, measure_board, put_picture
from shop.boards.case_actions import put_fastener, take_fastener_out
from shop.boards.models import BoardEdition, BoardRevision, DeviceModel, Placement
from shop.boards.placement_actions import put_placement, take_placement_out
from shop.boards.service_actions import add_service, change_service
from shop.boards.spots import Fit, Kind, Points, Screw, Spot
from shop.boards.table_actions import import_fasteners, import_placements
from shop.core.actor import Actor
from shop.core.models import TrailEntry
from shop.core.reasons import Missing, Refused, sentence
from tests.boards.conftest import BOARD_MM, CANS, CASE_MM, REAR, UNDER, VARIANTS, can
from tests.pictures import stored_photo


def put(actor: Actor, edition: BoardEdition, spot: Spot) -> Placement:
    return put_placement(actor=actor, revision_id=edition.revision_id, spot=spot)


def whats(revision: BoardRevision) -> list[str]:
    return list(TrailEntry.objects.filter(subject_id=revision.pk).order_by("seq").values_list("what", flat=True))


def test_it_reads_back_what_was_entered(edition: BoardEdition, lantern_b2: BoardRevision) -> None:
    found = queries.board(lantern_b2)
    assert [spot.designator for spot in found.spots] == ["C1", "C2", "C61", "C70", "R3", "U8"]
    assert found.spot("C2") == CANS[1]
    assert found.screws == (REAR, UNDER)
    assert (found.screw("B"), found.screw("Z"), found.spot("C9")) == (UNDER, None, None)
    assert (edition.size_mm, edition.case_mm, tuple(edition.variants)) == (BOARD_MM, CASE_MM, VARIANTS)


def test_it_knows_nothing_of_a_board_that_nobody_entered(lantern_b2: BoardRevision) -> None:
    found = queries.board(lantern_b2)
    assert (found.edition, found.spots, found.screws, found.pictures) == (None, (), (), {})


def test_it_tidies_a_designator_and_changes_the_placement_that_has_it(technician: Actor, edition: BoardEdition) -> None:
    put(technician, edition, can(" c 2 ", value="  22  µF "))
    (row,) = Placement.objects.filter(designator="C2")
    assert (row.value, row.rating, row.height_mm) == ("22 µF", "16 V", 11.0)
    entry = TrailEntry.objects.filter(subject_id=edition.revision_id).latest("seq")
    assert (entry.what, entry.after) == ("placement_put", "C2")
    assert '"added": false' in entry.facts


@pytest.mark.parametrize(
    ("changes", "code", "field"),
    [
        ({"designator": "60"}, "designator_malformed", "designator"),
        ({"designator": ""}, "designator_malformed", "designator"),
        ({"rating": "0 V"}, "rating_impossible", "rating"),
        ({"rating": "-16 V"}, "rating_impossible", "rating"),
        ({"rating": "16 kV"}, "rating_impossible", "rating"),
        ({"x_mm": 161.0}, "placement_off_board", "x_mm"),
        ({"y_mm": -1.0}, "placement_off_board", "x_mm"),
        ({"x_mm": None}, "placement_half_placed", "x_mm"),
        ({"width_mm": 0.0}, "mm_impossible", "width_mm"),
        ({"height_mm": 501.0}, "mm_impossible", "height_mm"),
        ({"positive": Points.UNKNOWN}, "positive_missing", "positive"),
        ({"kind": Kind.DIODE, "positive": Points.UNKNOWN}, "positive_missing", "positive"),
        ({"fit": Fit.VARIANT}, "variant_unknown", "variants"),
        ({"fit": Fit.VARIANT, "variants": ("55 Hz",)}, "variant_unknown", "variants"),
        ({"value": "x" * 61}, "too_long", "value"),
        ({"note": "x" * 201}, "too_long", "note"),
    ],
)
def test_it_refuses_a_placement_that_cannot_be(
    technician: Actor, edition: BoardEdition, changes: dict[str, Any], code: str, field: str
) -> None:
    before = queries.spots_of(edition)
    with pytest.raises(Refused) as refused:
        put(technician, edition, replace(can("C9"), **changes))
    reason = refused.value.reasons[0]
    assert (reason.code, reason.field) == (code, field)
    assert sentence(reason)
    assert queries.spots_of(edition) == before


@pytest.mark.parametrize(
    "changes",
    [
        {"x_mm": 160.4, "y_mm": -0.4},
        {"kind": Kind.RESISTOR, "positive": Points.UNKNOWN},
        {"fit": Fit.EMPTY, "positive": Points.UNKNOWN},
        {"x_mm": None, "y_mm": None},
        {"rating": "1000 V"},
        {"rating": "as printed"},
    ],
)
def test_it_takes_what_can_be(technician: Actor, edition: BoardEdition, changes: dict[str, Any]) -> None:
    wanted = replace(can("C9"), **changes)
    put(technician, edition, wanted)
    assert queries.board(edition.revision).spot("C9") == wanted


@pytest.mark.parametrize(
    "changes",
    [{"x_mm": float("inf")}, {"y_mm": float("nan")}, {"rotation_deg": float("nan")}, {"rotation_deg": float("inf")}],
)
def test_it_refuses_a_figure_that_is_none_though_the_size_of_the_board_is_not_known(
    technician: Actor, lantern_b2: BoardRevision, changes: dict[str, Any]
) -> None:
    with pytest.raises(Refused):
        put_placement(actor=technician, revision_id=lantern_b2.pk, spot=replace(can("C9"), **changes))


@pytest.mark.parametrize(
    ("changes", "code", "field"),
    [
        ({"label": ""}, "label_malformed", "label"),
        ({"label": "ABCD"}, "label_malformed", "label"),
        ({"where": " "}, "blank", "where"),
        ({"count": 0, "places_mm": ()}, "out_of_range", "count"),
        ({"count": 1}, "places_too_many", "places_mm"),
        ({"order": 100}, "out_of_range", "order"),
        ({"length_mm": 0.2}, "mm_impossible", "length_mm"),
        ({"places_mm": ((201.0, 10.0),)}, "fastener_off_case", "places_mm"),
        ({"warning": "x" * 201}, "too_long", "warning"),
    ],
)
def test_it_refuses_fasteners_that_cannot_be(
    technician: Actor, edition: BoardEdition, changes: dict[str, Any], code: str, field: str
) -> None:
    with pytest.raises(Refused) as refused:
        put_fastener(actor=technician, revision_id=edition.revision_id, screw=replace(REAR, **{"label": "C"} | changes))
    reason = refused.value.reasons[0]
    assert (reason.code, reason.field) == (code, field)
    assert sentence(reason)
    assert queries.board(edition.revision).screws == (REAR, UNDER)


def test_it_refuses_a_board_smaller_than_what_is_on_it(technician: Actor, edition: BoardEdition) -> None:
    sizes: dict[str, Any] = {"actor": technician, "revision_id": edition.revision_id, "variants": VARIANTS}
    with pytest.raises(Refused) as refused:
        measure_board(**sizes, board_mm=(100.0, 110.0), case_mm=CASE_MM)
    assert refused.value.code == "placement_off_board"
    assert sentence(refused.value.reasons[0]).startswith("R3 at 104, 96 mm would lie off the board")
    edition.refresh_from_db()
    assert edition.size_mm == BOARD_MM
    with pytest.raises(Refused, match="mm_impossible"):
        measure_board(**sizes, board_mm=(2.0, 110.0))
    assert measure_board(**sizes, board_mm=(104.0, 96.0), case_mm=CASE_MM).size_mm == (104.0, 96.0)


def test_it_refuses_a_case_smaller_than_the_places_of_its_fasteners(technician: Actor, edition: BoardEdition) -> None:
    with pytest.raises(Refused, match="fastener_off_case"):
        measure_board(
            actor=technician, revision_id=edition.revision_id, board_mm=BOARD_MM, case_mm=(180.0, 150.0),
            variants=VARIANTS,
        )  # fmt: skip
    edition.refresh_from_db()
    assert edition.case_mm == CASE_MM


def test_it_refuses_to_drop_a_variant_that_a_placement_depends_on(technician: Actor, edition: BoardEdition) -> None:
    with pytest.raises(Refused) as refused:
        measure_board(actor=technician, revision_id=edition.revision_id, board_mm=BOARD_MM, variants=["60 Hz"])
    assert refused.value.code == "variant_unknown"
    assert "C61" in sentence(refused.value.reasons[0])


def test_a_marking_in_other_case_is_the_same_board(
    technician: Actor, lantern: DeviceModel, lantern_b2: BoardRevision
) -> None:
    with pytest.raises(Refused) as refused:
        add_revision(actor=technician, model_id=lantern.pk, marking=" ql-b2 ")
    assert (refused.value.code, refused.value.reasons[0].field) == ("revision_taken", "marking")
    other = add_model(actor=technician, maker="Tessaro", name="Vesper 2")
    assert add_revision(actor=technician, model_id=other.pk, marking="ql-b2").marking == "ql-b2"


def test_it_copies_an_edition_that_units_are_worked_from_and_leaves_it_alone(
    technician: Actor, edition: BoardEdition, lantern_b2: BoardRevision
) -> None:
    photo = stored_photo(technician, (80, 60))
    corners = [(0.0, 60.0, 0.0, 0.0), (80.0, 60.0, 160.0, 0.0)]
    put_picture(actor=technician, revision_id=lantern_b2.pk, shows="top", photo_id=photo.pk, known=corners)
    assert steps.use(lantern_b2.pk) == edition
    before, wanted = queries.board(lantern_b2), can("C2", value="47 µF")
    put(technician, edition, wanted)
    after = queries.board(lantern_b2)
    assert after.edition is not None
    assert (after.edition.number, after.edition.used_at) == (2, None)
    assert (after.edition.size_mm, after.edition.case_mm) == (BOARD_MM, CASE_MM)
    assert tuple(after.edition.variants) == VARIANTS
    assert after.spots == tuple(wanted if spot.designator == "C2" else spot for spot in before.spots)
    assert (after.screws, after.pictures["top"].photo_id) == (before.screws, photo.pk)
    assert after.pictures["top"].known == before.pictures["top"].known
    old = queries.board(lantern_b2, edition)
    assert (old.spots, old.screws, old.pictures) == (before.spots, before.screws, before.pictures)


def test_it_writes_to_the_same_edition_until_a_unit_uses_it(technician: Actor, edition: BoardEdition) -> None:
    put(technician, edition, can("C9"))
    take_placement_out(actor=technician, revision_id=edition.revision_id, designator="C9")
    assert BoardEdition.objects.count() == 1
    steps.use(edition.revision_id)
    first_use = BoardEdition.objects.get().used_at
    steps.use(edition.revision_id)
    assert BoardEdition.objects.get().used_at == first_use is not None


@pytest.mark.parametrize("what", ["placement", "fastener", "size", "picture"])
def test_nothing_that_is_changed_later_reaches_an_edition_in_use(
    technician: Actor, edition: BoardEdition, lantern_b2: BoardRevision, what: str
) -> None:
    steps.use(lantern_b2.pk)
    before = queries.board(lantern_b2, edition)
    about: dict[str, Any] = {"actor": technician, "revision_id": lantern_b2.pk}
    if what == "placement":
        take_placement_out(**about, designator="C1")
    elif what == "fastener":
        take_fastener_out(**about, label="A")
    elif what == "size":
        measure_board(**about, board_mm=(170.0, 120.0), case_mm=(210.0, 160.0), variants=VARIANTS)
    else:
        put_picture(**about, shows="case", photo_id=stored_photo(technician, (80, 60)).pk)
    edition.refresh_from_db()
    old, new = queries.board(lantern_b2, edition), queries.board(lantern_b2)
    assert (old.spots, old.screws, old.pictures) == (before.spots, before.screws, before.pictures)
    assert (edition.size_mm, edition.case_mm) == (BOARD_MM, CASE_MM)
    assert new.edition != edition


def test_it_takes_out_only_what_is_there(technician: Actor, edition: BoardEdition) -> None:
    steps.use(edition.revision_id)
    with pytest.raises(Missing):
        take_placement_out(actor=technician, revision_id=edition.revision_id, designator="C9")
    with pytest.raises(Missing):
        take_fastener_out(actor=technician, revision_id=edition.revision_id, label="Z")
    assert BoardEdition.objects.count() == 1


def test_it_straightens_a_picture_by_two_points_far_apart(technician: Actor, edition: BoardEdition) -> None:
    about: dict[str, Any] = {"actor": technician, "revision_id": edition.revision_id, "shows": "top"}
    with pytest.raises(Refused, match="blank"):
        put_picture(**about, photo_id=None)
    photo = stored_photo(technician, (80, 60))
    with pytest.raises(Refused, match="points_too_close"):
        put_picture(**about, photo_id=photo.pk, known=[(0, 0, 0, 0), (1, 1, 1, 1)])
    with pytest.raises(Refused, match="points_too_many"):
        put_picture(**about, photo_id=photo.pk, known=[(0, 0, 0, 0), (80, 0, 160, 0), (0, 60, 0, 110)])
    put_picture(**about, photo_id=photo.pk)
    kept = put_picture(**about, photo_id=None, known=[(0, 60, 0, 0), (80, 60, 160, 0)])
    assert (kept.photo_id, kept.known) == (photo.pk, [[0, 60, 0, 0], [80, 60, 160, 0]])


def test_it_describes_a_board_and_keeps_its_photo(technician: Actor, lantern_b2: BoardRevision) -> None:
    photo = stored_photo(technician, (80, 60))
    about: dict[str, Any] = {"actor": technician, "revision_id": lantern_b2.pk}
    describe_revision(**about, how_to_tell="two chips by the slot", year="1991", photo_id=photo.pk)
    describe_revision(**about, how_to_tell="two chips")
    lantern_b2.refresh_from_db()
    assert (lantern_b2.how_to_tell, lantern_b2.year, lantern_b2.photo) == ("two chips", "", photo)


def test_it_lists_the_services_that_select_nothing_on_a_board(owner: Actor, edition: BoardEdition) -> None:
    rules = {"recap": ["electrolytic"], "chips": ["tantalum", "C9*"], "sockets": ["C70"], "clean": []}
    made = {code: add_service(actor=owner, code=code, name=code.title(), selects=rule) for code, rule in rules.items()}
    found = queries.board(edition.revision)
    assert queries.selecting_nothing(found) == [made["chips"], made["sockets"]]
    put(owner, edition, can("C9"))
    assert queries.selecting_nothing(queries.board(edition.revision)) == [made["sockets"]]


@pytest.mark.parametrize(
    ("fields", "code", "field"),
    [
        ({"nature": "magic"}, "not_a_choice", "nature"),
        ({"selects": ["all cans"]}, "designator_malformed", "selects"),
        ({"cuts": ["23"]}, "designator_malformed", "cuts"),
        ({"minutes": 30, "minutes_spread": 30}, "spread_too_wide", "minutes_spread"),
        ({"wires": [{"colour": "red", "length_mm": 0, "start": "a", "end": "b"}]}, "out_of_range", "wires"),
        ({"cautions": "x" * 301}, "too_long", "cautions"),
    ],
)
def test_it_refuses_a_service_whose_rules_cannot_be(
    owner: Actor, fields: dict[str, Any], code: str, field: str
) -> None:
    with pytest.raises(Refused) as refused:
        add_service(actor=owner, code="recap", name="Recap", **fields)
    assert (refused.value.code, refused.value.reasons[0].field) == (code, field)


def test_it_keeps_rules_tidy_and_refuses_a_spread_that_becomes_too_wide(owner: Actor) -> None:
    service = add_service(
        actor=owner, code="recap", name="Recap", minutes=90, minutes_spread=25, selects=["electrolytic", "c6*"],
        cuts=["c23"],
    )  # fmt: skip
    assert (service.selects, service.cuts) == (["electrolytic", "C6*"], ["C23"])
    with pytest.raises(Refused, match="spread_too_wide"):
        change_service(actor=owner, service_id=service.pk, version=service.version, minutes=20)


def test_the_counter_enters_nothing_into_the_library(helper: Actor, edition: BoardEdition) -> None:
    about: dict[str, Any] = {"actor": helper, "revision_id": edition.revision_id}
    before = whats(edition.revision)
    for act in (
        lambda: describe_revision(**about, how_to_tell="mine"),
        lambda: measure_board(**about),
        lambda: put_picture(**about, shows="top", photo_id=None),
        lambda: put_placement(**about, spot=can("C9")),
        lambda: take_placement_out(**about, designator="C1"),
        lambda: put_fastener(**about, screw=Screw(label="C", where="front")),
        lambda: take_fastener_out(**about, label="A"),
        lambda: import_placements(**about, text="designator\nR9\n"),
        lambda: import_fasteners(**about, text="label,where\nC,front\n"),
        lambda: add_service(actor=helper, code="recap", name="Recap"),
    ):
        with pytest.raises(Refused, match="not_permitted"):
            act()
    assert whats(edition.revision) == before
    assert [spot.designator for spot in queries.spots_of(edition)] == ["C1", "C2", "C61", "C70", "R3", "U8"]
