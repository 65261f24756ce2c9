"""The room `planning`."""

from shop.core.rooms import Room


class PlanningRoom(Room):
    """Promises."""

    name = "shop.planning"
