"""The rooms and their order: what the import linter cannot see."""

from django.apps import apps
from django.db import models

from tests.core.source import ROOT, ranks

# Rooms whose tables only flows of higher rooms write, through steps: there is nothing in them that a face does alone.
WITHOUT_ACTIONS = {
    "core": "its writers are add_photo and change_profile, beside what they write",
    "ledger": "postings come from the documents of higher rooms, never from a face",
}


def _models() -> list[type[models.Model]]:
    return [model for model in apps.get_models(include_auto_created=True) if model.__module__.startswith("shop.")]


def _room(model: type[models.Model]) -> str:
    return model._meta.app_label


def test_every_room_of_the_shop_has_a_rank() -> None:
    rooms = {file.parent.name for file in (ROOT / "shop").glob("*/__init__.py")}
    assert rooms - {"settings"} == set(ranks()) - {"api", "customer_portal"}


def test_a_row_points_to_its_own_room_or_to_a_lower_one() -> None:
    upward = [
        f"{model._meta.label}.{field.name}"
        for model in _models()
        for field in model._meta.get_fields()
        if isinstance(field, models.ForeignKey | models.ManyToManyField)
        and _room(field.related_model) != _room(model)
        and ranks()[_room(field.related_model)] >= ranks()[_room(model)]
    ]
    assert len(_models()) > 30
    assert upward == []


def test_every_room_with_tables_has_actions_or_says_why_not() -> None:
    with_tables = {_room(model) for model in _models()}
    with_actions = {file.parent.name for file in (ROOT / "shop").glob("*/actions.py")}
    assert with_tables - with_actions == with_tables & set(WITHOUT_ACTIONS)
