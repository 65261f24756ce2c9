"""The room `ledger`."""

from shop.core.rooms import Room


class LedgerRoom(Room):
    """Tax, accounts and postings."""

    name = "shop.ledger"
