"""The room `work`."""

from shop.core.rooms import Room


class WorkRoom(Room):
    """What is done at the bench."""

    name = "shop.work"
