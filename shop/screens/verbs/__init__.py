"""What a form on a unit's page does: each reads its fields and calls one flow or action.

A verb takes (actor, unit, posted fields, files) and returns where to go, or None for the unit's page.
"""

from shop.screens.verbs import bench, desk, moves
from shop.screens.verbs.common import Verb

VERBS: dict[str, Verb] = {**moves.VERBS, **bench.VERBS, **desk.VERBS}
