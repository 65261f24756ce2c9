"""The room `stock`."""

from shop.core.rooms import Room


class StockRoom(Room):
    """Lots and kits."""

    name = "shop.stock"
