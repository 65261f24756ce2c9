"""The face `customer_portal`."""

from shop.core.rooms import Room


class CustomerPortal(Room):
    """The customer's page."""

    name = "customer_portal"
