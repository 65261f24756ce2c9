"""The library: models, board revisions, services and the parts they bring."""

from typing import Any

import pytest
from pytest_django import DjangoAssertNumQueries

from shop.boards import queries
from shop.boards.actions import add_model, add_revision
from shop.boards.models import BoardRevision, DeviceModel, Service, ServicePart
from shop.boards.service_actions import add_service, set_service_parts
from shop.core.actor import Actor
from shop.core.models import TrailEntry
from shop.core.reasons import Missing, Refused, Stale, sentence
from shop.parts.models import Part


@pytest.fixture
def capacitor(owner: Actor) -> Part:
    return Part.objects.create(code="C-100U-16V", name="Capacitor 100 µF 16 V", price_minor=45)


@pytest.fixture
def clip(owner: Actor) -> Part:
    return Part.objects.create(code="CLIP", name="Spring clip", price_minor=10)


def _service(actor: Actor, **changes: Any) -> Service:
    return add_service(**{"actor": actor, "code": "regulator", "name": "Regulator replacement", **changes})


def test_a_technician_adds_a_model(technician: Actor) -> None:
    model = add_model(
        actor=technician, maker="Tessaro", name="Vesper 2", mains_inside=True, battery_inside=True, fastener_count=8
    )
    model.refresh_from_db()
    assert str(model) == "Tessaro Vesper 2"
    assert (model.mains_inside, model.tube_inside, model.battery_inside, model.fastener_count) == (True, False, True, 8)
    entry = TrailEntry.objects.get(subject_id=model.id)
    assert (entry.what, entry.after) == ("model_added", "Vesper 2")


@pytest.mark.parametrize(
    ("changes", "code", "field"),
    [
        ({}, "model_taken", "name"),
        ({"maker": ""}, "blank", "maker"),
        ({"name": "x" * 81}, "too_long", "name"),
        ({"name": "Lan\ntern"}, "hidden_character", "name"),
        ({"name": "Other", "fastener_count": -1}, "out_of_range", "fastener_count"),
        ({"name": "Other", "fastener_count": 501}, "out_of_range", "fastener_count"),
    ],
)
def test_it_refuses_a_model_that_cannot_be(
    owner: Actor, lantern: DeviceModel, changes: dict[str, Any], code: str, field: str
) -> None:
    with pytest.raises(Refused) as refused:
        add_model(**{"actor": owner, "maker": "Quillon", "name": "Lantern", **changes})
    reason = refused.value.reasons[0]
    assert (reason.code, reason.field) == (code, field)
    assert sentence(reason)
    assert list(DeviceModel.objects.all()) == [lantern]


def test_a_technician_adds_a_revision_and_how_to_tell_it(technician: Actor, lantern: DeviceModel) -> None:
    revision = add_revision(
        actor=technician, model_id=lantern.id, marking="QL-C1", how_to_tell="two chips\nby the slot"
    )
    revision.refresh_from_db()
    assert (revision.model, revision.marking, revision.how_to_tell) == (lantern, "QL-C1", "two chips\nby the slot")
    assert TrailEntry.objects.get(subject_id=revision.id).facts == f'{{"model": "{lantern.id}"}}'


def test_a_model_has_a_marking_once_and_another_model_may_have_it_too(
    owner: Actor, lantern: DeviceModel, lantern_b2: BoardRevision
) -> None:
    with pytest.raises(Refused) as refused:
        add_revision(actor=owner, model_id=lantern.id, marking="QL-B2")
    assert sentence(refused.value.reasons[0]) == ("Quillon Lantern has a board marked QL-B2 already. Choose it there.")
    other = add_model(actor=owner, maker="Quillon", name="Lantern Pocket")
    assert add_revision(actor=owner, model_id=other.id, marking="QL-B2").model == other


def test_a_revision_wants_a_model_and_a_marking(owner: Actor, lantern: DeviceModel) -> None:
    with pytest.raises(Missing):
        add_revision(actor=owner, model_id="nothing", marking="QL-C1")
    with pytest.raises(Refused, match="blank"):
        add_revision(actor=owner, model_id=lantern.id, marking=" ")


def test_a_service_is_added_with_its_steps_and_parts(owner: Actor, capacitor: Part, clip: Part) -> None:
    service = _service(
        owner,
        says="The old regulator is replaced by a cool one.",
        minutes=45,
        price_minor=3500,
        asks_video=True,
        optional_extra=True,
        steps=["Remove the old regulator", " Fit  the new one "],
        parts={clip.id: 1, capacitor.id: 2},
    )
    service.refresh_from_db()
    assert (service.minutes, service.price_minor, service.asks_video, service.optional_extra) == (45, 3500, True, True)
    assert service.steps == ["Remove the old regulator", "Fit the new one"]
    entry = TrailEntry.objects.get(subject_id=service.id)
    assert entry.what == "service_added"
    assert entry.facts == '{"minutes": 45, "parts": {"C-100U-16V": 2, "CLIP": 1}, "price_minor": 3500}'


@pytest.mark.parametrize(
    ("changes", "code", "field"),
    [
        ({"code": "recap"}, "service_code_taken", "code"),
        ({"code": "Video Board"}, "service_code_malformed", "code"),
        ({"code": "-x"}, "service_code_malformed", "code"),
        ({"code": ""}, "blank", "code"),
        ({"name": ""}, "blank", "name"),
        ({"says": "x" * 2001}, "too_long", "says"),
        ({"minutes": 0}, "out_of_range", "minutes"),
        ({"minutes": 10_001}, "out_of_range", "minutes"),
        ({"price_minor": -1}, "negative_money", "price_minor"),
        ({"steps": [""]}, "blank", "steps"),
        ({"steps": ["x" * 201]}, "too_long", "steps"),
        ({"steps": ["x"] * 101}, "out_of_range", "steps"),
        ({"parts": {"nothing": 1}}, "missing", ""),
    ],
)
def test_it_refuses_a_service_that_cannot_be(
    owner: Actor, recap: Service, changes: dict[str, Any], code: str, field: str
) -> None:
    with pytest.raises(Refused) as refused:
        _service(owner, **changes)
    reason = refused.value.reasons[0]
    assert (reason.code, reason.field) == (code, field)
    assert sentence(reason)
    assert list(Service.objects.all()) == [recap]


def test_the_parts_of_a_service_are_set_in_place_of_those_before(
    owner: Actor, recap: Service, capacitor: Part, clip: Part
) -> None:
    set_service_parts(actor=owner, service_id=recap.id, version=1, parts={capacitor.id: 8})
    changed = set_service_parts(actor=owner, service_id=recap.id, version=2, parts={str(clip.id): 2})
    assert list(ServicePart.objects.values_list("part__code", "quantity")) == [("CLIP", 2)]
    assert changed.version == 3
    entry = TrailEntry.objects.filter(subject_id=recap.id).latest("seq")
    assert (entry.what, entry.facts) == ("service_parts_set", '{"parts": {"CLIP": 2}}')


@pytest.mark.parametrize("quantity", [0, -1, 1001])
def test_a_refused_quantity_leaves_the_parts_as_they_were(
    owner: Actor, recap: Service, capacitor: Part, clip: Part, quantity: int
) -> None:
    set_service_parts(actor=owner, service_id=recap.id, version=1, parts={capacitor.id: 8})
    with pytest.raises(Refused, match="out_of_range"):
        set_service_parts(actor=owner, service_id=recap.id, version=2, parts={clip.id: quantity})
    assert list(ServicePart.objects.values_list("part__code", "quantity")) == [("C-100U-16V", 8)]


def test_a_part_out_of_use_is_brought_by_nothing_new(owner: Actor, recap: Service, capacitor: Part) -> None:
    Part.objects.update(retired_at="2026-03-01T00:00:00Z")
    with pytest.raises(Missing):
        set_service_parts(actor=owner, service_id=recap.id, version=1, parts={capacitor.id: 1})


def test_a_stale_page_does_not_overwrite_the_parts(owner: Actor, recap: Service, capacitor: Part) -> None:
    set_service_parts(actor=owner, service_id=recap.id, version=1, parts={capacitor.id: 8})
    with pytest.raises(Stale):
        set_service_parts(actor=owner, service_id=recap.id, version=1, parts={})
    assert ServicePart.objects.count() == 1


def test_the_counter_does_not_change_the_library(helper: Actor, lantern: DeviceModel, recap: Service) -> None:
    with pytest.raises(Refused, match="not_permitted"):
        add_model(actor=helper, maker="Tessaro", name="Vesper 2")
    with pytest.raises(Refused, match="not_permitted"):
        add_revision(actor=helper, model_id=lantern.id, marking="QL-C1")
    with pytest.raises(Refused, match="not_permitted"):
        _service(helper)
    with pytest.raises(Refused, match="not_permitted"):
        set_service_parts(actor=helper, service_id=recap.id, version=1, parts={})


def test_services_come_with_their_parts_in_two_queries_however_many(
    owner: Actor, capacitor: Part, clip: Part, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    for number in range(6):
        _service(owner, code=f"service-{number}", name=f"Service {number}", parts={capacitor.id: 2, clip.id: 1})
    with django_assert_num_queries(2):
        found = {
            service.code: [(row.part.code, row.quantity) for row in service.parts.all()]
            for service in queries.services()
        }
    assert found == {f"service-{number}": [("C-100U-16V", 2), ("CLIP", 1)] for number in range(6)}


def test_it_lists_what_is_in_use(
    owner: Actor, lantern: DeviceModel, lantern_b2: BoardRevision, recap: Service, video_board: Service
) -> None:
    vesper = add_model(actor=owner, maker="Tessaro", name="Vesper 2")
    early = add_revision(actor=owner, model_id=lantern.id, marking="QL-A1")
    assert list(queries.models()) == [lantern, vesper]
    assert list(queries.revisions_of(lantern)) == [early, lantern_b2]
    assert list(queries.revisions_of(vesper)) == []
    assert list(queries.services()) == [recap, video_board]
    for table in (DeviceModel, BoardRevision, Service):
        table.objects.update(retired_at="2026-03-01T00:00:00Z")
    assert [list(queries.models()), list(queries.revisions_of(lantern)), list(queries.services())] == [[], [], []]
