"""A result of the reckoner that is kept with a unit."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django.db import transaction

from shop.core import trail
from shop.core.actor import Actor, permit
from shop.reckoner.asking import given_figures, reckon
from shop.reckoner.forms import Answer
from shop.units.actions import present


def keep_reckoning(*, actor: Actor, unit_id: UUID, name: str, given: Mapping[str, Any]) -> Answer:
    """Work a reckoning out and put it into a unit's trail: its name, what was given and what came out; return it.

    Raises Missing for the unit or the reckoning, Refused as `reckon` does and with `unit_left`.
    """
    permit(actor, "floor.reckon")
    answer = reckon(name, given)
    with transaction.atomic():
        unit = present(unit_id)
        facts = {
            "given": given_figures(name, given),
            "figures": {figure.name: figure.value for figure in answer.figures},
        }
        trail.write(unit, actor, "reckoned", after=name, facts=facts)
    return answer
