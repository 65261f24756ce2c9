"""The room `books`."""

from shop.core.rooms import Room


class BooksRoom(Room):
    """Bills, payments and releases."""

    name = "shop.books"
