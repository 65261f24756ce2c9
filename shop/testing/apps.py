"""The room `testing`."""

from shop.core.rooms import Room


class TestingRoom(Room):
    """Readings and verdicts."""

    name = "shop.testing"
