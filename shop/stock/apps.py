"""The room `stock`."""

from shop.core.rooms import Room


class StockRoom(Room):
    """Lots and kits."""

    name = "shop.stock"
    default = True  # else Django, which sees the imported Room as well, takes neither
