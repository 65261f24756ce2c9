"""The room `units`."""

from shop.core.rooms import Room


class UnitsRoom(Room):
    """Units, bags, findings, holds and their labels."""

    name = "shop.units"
