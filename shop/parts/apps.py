"""The room `parts`."""

from shop.core.rooms import Room


class PartsRoom(Room):
    """Part specifications, suppliers, prices."""

    name = "shop.parts"
