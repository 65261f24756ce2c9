"""The face `api`."""

from shop.core.rooms import Room


class Api(Room):
    """The REST face, version 1."""

    name = "api"
