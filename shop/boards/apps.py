"""The room `boards`."""

from shop.core.rooms import Room


class BoardsRoom(Room):
    """Device models, board revisions, services."""

    name = "shop.boards"
