"""The room `planning`."""

from shop.core.rooms import Room


class PlanningRoom(Room):
    """Promises."""

    name = "shop.planning"
    default = True  # else Django, which sees the imported Room as well, takes neither
