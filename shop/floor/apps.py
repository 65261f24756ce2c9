"""The room `floor`."""

from shop.core.rooms import Room


class FloorRoom(Room):
    """The journey: it knows all the other rooms and has no tables."""

    name = "shop.floor"
