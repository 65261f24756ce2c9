"""The core room."""

from shop.core.rooms import Room


class CoreRoom(Room):
    """What every other room stands on."""

    name = "shop.core"
