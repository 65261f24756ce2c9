"""The room `people`."""

from shop.core.rooms import Room


class PeopleRoom(Room):
    """Customers, staff, places."""

    name = "shop.people"
