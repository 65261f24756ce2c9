"""Boards over the API: entered, imported, written out, worked from."""

from typing import Any
from xml.etree import ElementTree

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from shop.boards.models import BoardEdition, BoardRevision, DeviceModel, Placement, Service
from shop.core.actor import Actor
from shop.core.models import Photo
from shop.people.models import Place, User
from shop.units.models import Unit
from tests.api.conftest import NOBODY, Device
from tests.pictures import stored_photo

C1 = {
    "designator": "C1", "value": "100 µF", "rating": "16 V", "kind": "electrolytic", "mount": "surface",
    "package": "6.3 × 5.8", "x_mm": 12.5, "y_mm": 30.25, "width_mm": 6.3, "depth_mm": 6.3, "height_mm": 5.8,
    "rotation_deg": 90.0, "positive": "left", "positive_checked": False, "side": "bottom", "fit": "variant",
    "variants": ["50 Hz"], "note": "The stripe looks at the slot",
}  # fmt: skip
SHIELD = {
    "label": "D", "where": "shield inside", "drive": "cross", "bit": "PH0", "thread": "M3", "length_mm": 6.0,
    "count": 4, "order": 2, "places_mm": [[40.0, 100.0], [160.0, 100.0]], "warning": "the traces under it",
}  # fmt: skip
TABLE = """\
designator,value,rating,kind,x,y,positive
C1,100 µF,16 V,electrolytic,20,30,left
C2,47 µF,16 V,electrolytic,40,30,up
R3,75 Ω,,resistor,60,30,
"""
CASE = """\
label,where,x,y,thread,length,count,order
A,rear edge,8,142,M3,12,2,1
A,rear edge,192,142,,,,
B,front edge,8,8,M3,8,1,2
"""


@pytest.fixture
def photo(technician: Actor) -> Photo:
    return stored_photo(technician, (200, 100))


@pytest.fixture
def path(lantern_b2: BoardRevision) -> str:
    return f"revisions/{lantern_b2.id}"


@pytest.fixture
def worked(queued: Unit, recap: Service, bench_one: Place, jun: User) -> Unit:
    """Ada's Lantern at work on Bench 1, agreed to a recap of every electrolytic capacitor."""
    Service.objects.filter(pk=recap.pk).update(selects=["electrolytic"], nature="replace")
    Unit.objects.filter(pk=queued.pk).update(stage="bench", visit="work", place=bench_one, technician=jun)
    return Unit.objects.get(pk=queued.pk)


def send(device: Device, path: str, body: Any, **headers: str) -> Any:
    """Post what must be taken, and return what is answered."""
    answer = device.post(path, body, **headers)
    assert answer.status_code == 200, answer.json()
    return answer.json()


def taken(device: Device, path: str, table: str, **more: Any) -> Any:
    return send(device, f"{path}/placements/import", {"text": table, "dry_run": False} | more)


def name_it(device: Device, unit: Unit, revision: BoardRevision, **more: str) -> Any:
    seen = {"If-Match": device.get(f"units/{unit.id}").headers["ETag"]}
    return device.post(f"units/{unit.id}/revision", {"revision": str(revision.id)} | more, **seen)


def code_of(answer: Any) -> tuple[int, str]:
    return answer.status_code, answer.json()["reasons"][0]["code"]


def test_it_shows_what_was_entered_of_a_board(tablet: Device, desk: Device, path: str, photo: Photo) -> None:
    told = {"how_to_tell": "Two fuses", "year": "1991", "photo": str(photo.id)}
    assert send(tablet, f"{path}/description", told).items() >= told.items()
    measures = {"board_mm": [160, 110], "case_mm": [200, 150], "variants": ["50 Hz", "60 Hz"]}
    assert send(tablet, f"{path}/measures", measures).items() >= (measures | {"number": 1, "used_at": None}).items()
    known = [[10.0, 90.0, 0.0, 0.0], [190.0, 10.0, 160.0, 110.0]]
    laid = {"shows": "bottom", "photo": str(photo.id), "known": known}
    assert send(tablet, f"{path}/pictures", laid)["photo"]["width_px"] == 200
    assert send(tablet, f"{path}/placements", C1) == C1
    assert send(tablet, f"{path}/fasteners", SHIELD) == SHIELD
    seen = desk.get(f"{path}/board").json()
    assert seen["revision"].items() >= told.items()
    assert seen["edition"] == {"number": 1, "used_at": None} | measures
    assert (seen["placements"], seen["fasteners"]) == ([C1], [SHIELD])
    assert [(each["shows"], each["photo"]["id"], each["known"]) for each in seen["pictures"]] == [
        ("bottom", str(photo.id), known)
    ]


def test_a_board_nothing_is_known_of_is_shown_as_such(desk: Device, path: str, recap: Service) -> None:
    Service.objects.filter(pk=recap.pk).update(selects=["electrolytic"])
    seen = desk.get(f"{path}/board").json()
    assert seen["revision"]["marking"] == "QL-B2"
    del seen["revision"]
    assert seen == {"edition": None, "placements": [], "fasteners": [], "pictures": [], "selects_nothing": []}


def test_it_names_the_services_that_find_no_part_on_the_board(tablet: Device, path: str, recap: Service) -> None:
    Service.objects.filter(pk=recap.pk).update(selects=["tantalum"])
    taken(tablet, path, TABLE)
    assert tablet.get(f"{path}/board").json()["selects_nothing"] == ["recap"]
    Service.objects.filter(pk=recap.pk).update(selects=["R*"])
    assert tablet.get(f"{path}/board").json()["selects_nothing"] == []


def test_a_placement_is_said_whole_and_taken_out(tablet: Device, path: str) -> None:
    taken(tablet, path, TABLE)
    again = send(tablet, f"{path}/placements", {"designator": "R3"})
    assert (again["value"], again["x_mm"], again["kind"]) == ("", None, "other")
    send(tablet, f"{path}/placements/remove", {"designator": "C2"})
    assert [each["designator"] for each in tablet.get(f"{path}/board").json()["placements"]] == ["C1", "R3"]
    assert tablet.post(f"{path}/placements/remove", {"designator": "C2"}).status_code == 404


def test_fasteners_are_taken_out(tablet: Device, path: str) -> None:
    send(tablet, f"{path}/fasteners", SHIELD)
    send(tablet, f"{path}/fasteners/remove", {"label": "D"})
    assert tablet.get(f"{path}/board").json()["fasteners"] == []
    assert tablet.post(f"{path}/fasteners/remove", {"label": "D"}).status_code == 404


def test_a_photo_that_is_there_is_straightened_without_another(tablet: Device, path: str, photo: Photo) -> None:
    assert code_of(tablet.post(f"{path}/pictures", {"shows": "top"})) == (422, "blank")
    send(tablet, f"{path}/pictures", {"shows": "top", "photo": str(photo.id)})
    known = [[0, 100, 0, 0], [200, 0, 80, 40]]
    straight = send(tablet, f"{path}/pictures", {"shows": "top", "known": known})
    assert (straight["photo"]["id"], straight["known"]) == (str(photo.id), known)
    close = {"shows": "top", "known": [[5, 5, 0, 0], [5, 5, 0, 0]]}
    assert code_of(tablet.post(f"{path}/pictures", close)) == (422, "points_too_close")


@pytest.mark.parametrize(
    ("what", "body", "field"),
    [
        ("placements", {"designator": "C1", "x_mm": True, "y_mm": 1}, "x_mm"),
        ("placements", {"designator": "C1", "x_mm": "12", "y_mm": 1}, "x_mm"),
        ("placements", {"designator": "C1", "x_mm": 10**400, "y_mm": 1}, "x_mm"),
        ("placements", {"designator": "C1", "x_mm": 1001, "y_mm": 1}, "x_mm"),
        ("placements", {"designator": "C1", "x_mm": 12}, "x_mm"),
        ("placements", {"designator": "C1", "kind": "electrolytic"}, "positive"),
        ("placements", {"designator": "C1", "kind": "valve"}, "kind"),
        ("placements", {"designator": "60"}, "designator"),
        ("placements", {"designator": "C1", "fit": "variant", "variants": ["50 Hz"]}, "variants"),
        ("measures", {"board_mm": [160]}, "board_mm"),
        ("measures", {"board_mm": [160, 1]}, "board_mm"),
        ("fasteners", {"label": "A", "where": "rear", "places_mm": [[1, 2, 3]]}, "places_mm.0"),
        ("fasteners", {"label": "A", "where": "rear", "places_mm": [[1, 2], [3, 4]]}, "places_mm"),
        ("fasteners", {"label": "LONG", "where": "rear"}, "label"),
        ("pictures", {"shows": "inside"}, "shows"),
    ],
)
def test_what_cannot_be_names_its_field_and_leaves_nothing(
    tablet: Device, path: str, what: str, body: Any, field: str
) -> None:
    answer = tablet.post(f"{path}/{what}", body)
    assert (answer.status_code, answer.json()["reasons"][0]["field"]) == (422, field)
    assert not BoardEdition.objects.exists()


def test_a_number_beyond_all_bounds_is_refused(tablet: Device, path: str) -> None:
    client = Client(raise_request_exception=False, SERVER_NAME="shop.test")
    headers = {"authorization": tablet.authorization}
    for name in ("rotation_deg", "x_mm"):
        body = f'{{"designator": "R1", "{name}": 1e999}}'
        sent = client.generic(
            "POST", f"/api/v1/{path}/placements", body, content_type="application/json", headers=headers
        )
        assert (sent.status_code, sent.json()["reasons"][0]["field"]) == (422, name)


def test_a_dry_run_tells_each_line_and_writes_nothing(tablet: Device, path: str) -> None:
    told = send(tablet, f"{path}/placements/import", {"text": f"\n{TABLE}C4,1 µF,9000 V,electrolytic,5,5,left\n"})
    assert (told["written"], told["new"], told["changed"], told["same"], told["wrong"]) == (False, 4, 0, 0, 1)
    assert [(line["line"], line["named"], line["change"]) for line in told["lines"] if line["change"]] == [
        (3, "C1", "new"), (4, "C2", "new"), (5, "R3", "new"), (6, "C4", "new"),
    ]  # fmt: skip
    grave = [line for line in told["lines"] if line["grave"]]
    assert {line["line"] for line in grave} == {6}
    assert {line["reason"]["code"] for line in grave} >= {"table_rating_impossible"}
    assert any("9000 V" in line["reason"]["detail"] for line in grave)
    assert not BoardEdition.objects.exists()


def test_a_table_with_a_wrong_line_is_refused_whole(tablet: Device, path: str) -> None:
    answer = tablet.post(f"{path}/placements/import", {"text": f"{TABLE}C2,,,film,5,5,\n", "dry_run": False})
    assert code_of(answer) == (422, "table_refused")
    assert not Placement.objects.exists()


def test_a_table_is_written_and_then_changes_nothing(tablet: Device, path: str) -> None:
    done = taken(tablet, path, TABLE)
    assert (done["written"], done["new"], done["same"]) == (True, 3, 0)
    again = taken(tablet, path, TABLE)
    assert (again["written"], again["new"], again["changed"], again["same"]) == (True, 0, 0, 3)
    assert len(tablet.get(f"{path}/board").json()["placements"]) == 3


def test_a_table_in_mil_is_read_in_mil(tablet: Device, path: str) -> None:
    taken(tablet, path, "designator,x,y\nR1,1000,2000\n", unit="mil")
    (placed,) = tablet.get(f"{path}/board").json()["placements"]
    assert (placed["x_mm"], placed["y_mm"]) == pytest.approx((25.4, 50.8))


def test_a_repeated_import_is_done_once(tablet: Device, path: str) -> None:
    body, key = {"text": TABLE, "dry_run": False}, {"Idempotency-Key": "board-1"}
    first, again = (tablet.post(f"{path}/placements/import", body, **key) for _ in range(2))
    assert first.json() == again.json()
    assert (again.json()["new"], again.headers["Idempotency-Replayed"]) == (3, "true")


def test_fasteners_come_in_by_a_table(tablet: Device, path: str) -> None:
    told = send(tablet, f"{path}/fasteners/import", {"text": CASE})
    assert (told["written"], told["new"]) == (False, 2)
    assert any(line["reason"] and not line["grave"] for line in told["lines"])  # B is shorter, and nothing warns of A
    send(tablet, f"{path}/fasteners/import", {"text": CASE, "dry_run": False})
    groups = tablet.get(f"{path}/board").json()["fasteners"]
    assert [(group["label"], group["count"], len(group["places_mm"])) for group in groups] == [("A", 2, 2), ("B", 1, 1)]
    wrong = tablet.post(f"{path}/fasteners/import", {"text": "label,where\n????,rear\n", "dry_run": False})
    assert code_of(wrong) == (422, "table_refused")


@pytest.mark.parametrize(("what", "table"), [("placements", TABLE), ("fasteners", CASE)])
def test_what_is_written_out_comes_back_the_same(
    tablet: Device, desk: Device, path: str, what: str, table: str
) -> None:
    send(tablet, f"{path}/{what}/import", {"text": table, "dry_run": False})
    file = desk.get(f"{path}/{what}.csv")
    assert (file.status_code, file.headers["Content-Type"]) == (200, "text/csv; charset=utf-8")
    assert file.headers["Content-Disposition"] == f'inline; filename="{what}-ql-b2.csv"'
    assert "sandbox" in file.headers["Content-Security-Policy"]
    told = send(tablet, f"{path}/{what}/import", {"text": file.content.decode()})
    assert (told["new"], told["changed"], told["wrong"]) == (0, 0, 0)
    assert told["same"] == len(tablet.get(f"{path}/board").json()[what]) > 1


def test_a_marking_of_signs_alone_still_makes_a_file_name(tablet: Device, lantern: DeviceModel) -> None:
    odd = BoardRevision.objects.create(model=lantern, marking='"; x="')
    given = tablet.get(f"revisions/{odd.id}/placements.csv").headers["Content-Disposition"]
    assert given.count('"') == 2


def test_showing_a_board_asks_as_often_for_many_parts_as_for_few(tablet: Device, path: str) -> None:
    def asked() -> int:
        with CaptureQueriesContext(
            connection,
        ) as queries:
            assert tablet.get(f"{path}/board").status_code == 200
        return len(queries)

    taken(tablet, path, TABLE)
    few = asked()
    taken(tablet, path, "designator,x,y\n" + "".join(f"R{n},{n},{n}\n" for n in range(10, 60)))
    assert asked() == few


def test_a_unit_keeps_the_edition_it_is_worked_from(
    tablet: Device, path: str, queued: Unit, lantern_b2: BoardRevision
) -> None:
    taken(tablet, path, TABLE)
    assert name_it(tablet, queued, lantern_b2).status_code == 200
    assert tablet.get(f"{path}/board").json()["edition"]["used_at"]
    assert send(tablet, f"{path}/placements/remove", {"designator": "C2"})["number"] == 2
    queued.refresh_from_db()
    assert queued.edition is not None
    assert (queued.edition.number, queued.edition.placements.count()) == (1, 3)


def test_a_variant_is_named_with_the_board(tablet: Device, path: str, queued: Unit, lantern_b2: BoardRevision) -> None:
    send(tablet, f"{path}/measures", {"variants": ["50 Hz"]})
    refused = name_it(tablet, queued, lantern_b2, variant="60 Hz")
    assert (code_of(refused), refused.json()["reasons"][0]["field"]) == ((422, "not_a_choice"), "variant")
    assert name_it(tablet, queued, lantern_b2, variant="50 Hz").status_code == 200
    queued.refresh_from_db()
    assert queued.variant == "50 Hz"


def test_a_board_nobody_knew_begins_its_entry(tablet: Device, queued: Unit, lantern_b2: BoardRevision) -> None:
    where, body = f"units/{queued.id}/revision/new", {"marking": "QL-B7", "how_to_tell": "three fuses"}
    assert tablet.post(where, body).status_code == 428
    seen = tablet.get(f"units/{queued.id}").headers["ETag"]
    assert code_of(tablet.post(where, {"marking": "ql-b2"}, **{"If-Match": seen})) == (422, "revision_taken")
    assert send(tablet, where, body, **{"If-Match": seen})["revision"] == "QL-B7"
    assert tablet.post(where, body | {"marking": "QL-B8"}, **{"If-Match": seen}).status_code == 412
    markings = [row["marking"] for row in tablet.get(f"models/{queued.model_id}/revisions").json()["items"]]
    assert markings == ["QL-B2", "QL-B7"]


def test_steps_are_laid_out_again_from_what_the_library_learned(
    tablet: Device, path: str, worked: Unit, lantern_b2: BoardRevision
) -> None:
    taken(tablet, path, TABLE)
    assert name_it(tablet, worked, lantern_b2).status_code == 200
    first = send(tablet, f"units/{worked.id}/steps/again", {})["items"]
    assert {ref for step in first for ref in step["refs"]} == {"C1", "C2"}
    send(tablet, f"{path}/placements", C1 | {"designator": "C9", "fit": "fitted", "variants": []})
    again = send(tablet, f"units/{worked.id}/steps/again", {})["items"]
    assert {ref for step in again for ref in step["refs"]} == {"C1", "C2", "C9"}
    assert [step["id"] for step in again] == [s["id"] for s in tablet.get(f"units/{worked.id}/steps").json()["items"]]


def test_steps_of_a_unit_off_the_bench_are_not_laid_out(tablet: Device, queued: Unit) -> None:
    assert code_of(tablet.post(f"units/{queued.id}/steps/again")) == (409, "not_at_bench")


def test_a_group_that_the_library_knows_comes_out_by_its_label(
    tablet: Device, path: str, worked: Unit, lantern_b2: BoardRevision
) -> None:
    send(tablet, f"{path}/fasteners", SHIELD)
    assert name_it(tablet, worked, lantern_b2).status_code == 200
    where = f"units/{worked.id}/fasteners/group-out"
    group = send(tablet, where, {"label": "D", "missing": 1})
    assert (group["label"], group["out"], group["missing_on_arrival"], group["length_mm"]) == ("D", 3, 1, 6)
    assert send(tablet, where, {"label": "D"})["out"] == 3
    assert tablet.post(where, {"label": "Z"}).status_code == 404
    assert tablet.get(f"units/{worked.id}").json()["opened"]


@pytest.mark.parametrize("kind", ["parts", "parts-mat", "fasteners", "fasteners-mat"])
@pytest.mark.parametrize(("paper", "across_pt"), [("", 595.2756), ("?paper=letter", 612)])
def test_a_mat_is_a_pdf_on_the_paper_asked_for(
    desk: Device,
    tablet: Device,
    path: str,
    worked: Unit,
    lantern_b2: BoardRevision,
    kind: str,
    paper: str,
    across_pt: float,
) -> None:
    taken(tablet, path, TABLE)
    send(tablet, f"{path}/fasteners/import", {"text": CASE, "dry_run": False})
    name_it(tablet, worked, lantern_b2)
    mat = desk.get(f"units/{worked.id}/mats/{kind}{paper}")
    assert (mat.status_code, mat.headers["Content-Type"]) == (200, "application/pdf")
    box = mat.content.partition(b"/MediaBox")[2].partition(b"[")[2].partition(b"]")[0].split()
    assert across_pt in [pytest.approx(float(side), abs=0.1) for side in box]
    assert mat.headers["Content-Disposition"] == f'inline; filename="{kind}-{worked.number}.pdf"'
    assert "sandbox" in mat.headers["Content-Security-Policy"]


def test_a_mat_that_cannot_be_is_refused(desk: Device, queued: Unit) -> None:
    assert code_of(desk.get(f"units/{queued.id}/mats/wallpaper")) == (409, "mat_kind_unknown")
    assert code_of(desk.get(f"units/{queued.id}/mats/parts")) == (409, "mat_nothing_to_lay")
    answer = desk.get(f"units/{queued.id}/mats/parts?paper=a3")
    assert (answer.status_code, answer.json()["reasons"][0]["field"]) == (422, "paper")
    assert desk.get(f"units/{NOBODY}/mats/parts").status_code == 404


def test_the_board_is_drawn_once_it_is_known(
    desk: Device, tablet: Device, path: str, worked: Unit, lantern_b2: BoardRevision
) -> None:
    where = f"units/{worked.id}/board.svg"
    assert code_of(desk.get(where)) == (404, "board_unknown")
    name_it(tablet, worked, lantern_b2)
    assert code_of(desk.get(where)) == (404, "missing")
    taken(tablet, path, TABLE)
    name_it(tablet, worked, lantern_b2)
    drawing = desk.get(where)
    assert (drawing.status_code, drawing.headers["Content-Type"]) == (200, "image/svg+xml")
    assert drawing.headers["Content-Security-Policy"] == "default-src 'none'; sandbox"
    root = ElementTree.fromstring(drawing.content)
    assert root.tag == "{http://www.w3.org/2000/svg}svg"


def test_the_drawing_shows_what_the_work_is_about(
    desk: Device, tablet: Device, path: str, worked: Unit, recap: Service, lantern_b2: BoardRevision
) -> None:
    def written() -> str:
        return "".join(ElementTree.fromstring(desk.get(f"units/{worked.id}/board.svg").content).itertext())

    taken(tablet, path, TABLE)
    for about, other in (("C2", "C1"), ("C1", "C2")):
        Service.objects.filter(pk=recap.pk).update(selects=[about])
        name_it(tablet, worked, lantern_b2)
        send(tablet, f"units/{worked.id}/steps/again", {})
        assert about in written()
        assert other not in written()


def test_a_finding_lies_where_it_was_seen(desk: Device, tablet: Device, worked: Unit) -> None:
    said = {
        "kind": "lifted_pad", "x_mm": 20.5, "y_mm": 30, "side": "bottom", "repair": "offered", "repair_minutes": 20,
        "repair_minor": 1800,
    }  # fmt: skip
    made = tablet.post(f"units/{worked.id}/findings", said)
    assert (made.status_code, made.json().items() >= said.items()) == (201, True)
    assert desk.get(f"units/{worked.id}/findings").json()["items"] == [made.json()]


def test_a_finding_without_a_place_is_as_before(desk: Device, queued: Unit) -> None:
    made = desk.post(f"units/{queued.id}/findings", {"kind": "liquid"}).json()
    assert (made["x_mm"], made["side"], made["repair"], made["repair_minor"]) == (None, "", "", 0)


@pytest.mark.parametrize(
    ("said", "field"),
    [({"x_mm": 1}, "x_mm"), ({"side": "rear"}, "side"), ({"repair": "soon"}, "repair"), ({"repair_minor": -1}, "")],
)
def test_a_finding_that_cannot_be_is_refused(desk: Device, queued: Unit, said: Any, field: str) -> None:
    answer = desk.post(f"units/{queued.id}/findings", {"kind": "liquid"} | said)
    assert (answer.status_code, answer.json()["reasons"][0]["field"]) == (422, field or "repair_minor")
    assert not queued.findings.exists()


def test_a_service_says_what_it_is_about(tablet: Device) -> None:
    said = {
        "minutes_spread": 10, "nature": "modification", "selects": ["electrolytic", "U3", "C6*"], "cuts": ["U3"],
        "wires": [{"colour": "red", "length_mm": 80, "start": "U3 pin 2", "end": "J2"}], "skill": "fine soldering",
        "equipment": ["hot air"], "cautions": "Never pull at the wire",
    }  # fmt: skip
    made = tablet.post("services", {"code": "picture-mod", "name": "Picture board", "minutes": 60} | said)
    assert (made.status_code, made.json().items() >= said.items()) == (201, True)
    where = f"services/{made.json()['id']}"
    more = {"wires": [], "cuts": ["C*"], "nature": "replace", "skill": ""}
    changed = tablet.patch(where, more, **{"If-Match": tablet.get(where).headers["ETag"]})
    assert changed.json().items() >= (said | more).items()


@pytest.mark.parametrize(
    ("said", "code", "field"),
    [
        ({"minutes": 30, "minutes_spread": 30}, "spread_too_wide", "minutes_spread"),
        ({"selects": ["60 µF"]}, "designator_malformed", "selects"),
        ({"nature": "magic"}, "invalid_choice", "nature"),
        ({"wires": [{"colour": "red"}]}, "required", "wires.0.length_mm"),
        ({"wires": [{"colour": "red", "length_mm": 0, "start": "a", "end": "b"}]}, "min_value", "wires.0.length_mm"),
    ],
)
def test_a_service_that_cannot_be_is_refused(tablet: Device, said: Any, code: str, field: str) -> None:
    answer = tablet.post("services", {"code": "odd", "name": "Odd"} | said)
    assert (code_of(answer), answer.json()["reasons"][0]["field"]) == ((422, code), field)
    assert not Service.objects.filter(code="odd").exists()
