"""The room `reckoner`."""

from shop.core.rooms import Room


class ReckonerRoom(Room):
    """Calculations that a person asks for; no tables."""

    name = "shop.reckoner"
