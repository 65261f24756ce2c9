"""The room `notices`."""

from shop.core.rooms import Room


class NoticesRoom(Room):
    """Messages to people, and their sending."""

    name = "shop.notices"
