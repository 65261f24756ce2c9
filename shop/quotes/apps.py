"""The room `quotes`."""

from shop.core.rooms import Room


class QuotesRoom(Room):
    """Offers, their editions and decisions."""

    name = "shop.quotes"
