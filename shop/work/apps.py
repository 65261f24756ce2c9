"""The room `work`."""

from shop.core.rooms import Room


class WorkRoom(Room):
    """What is done at the bench."""

    name = "shop.work"
    default = True  # else Django, which sees the imported Room as well, takes neither
