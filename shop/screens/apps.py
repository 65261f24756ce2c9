"""The room `screens`."""

from shop.core.rooms import Room


class ScreensRoom(Room):
    """Staff pages."""

    name = "shop.screens"
