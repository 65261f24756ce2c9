"""Before a unit is here: announced parcels, and the waiting list of a full shop."""

from uuid import UUID

from rest_framework import serializers

from api.fields import Given, GivenRow, IdOf, Taken, text
from api.operation import Call, Endpoint, operation
from api.paging import Order
from api.resources.common import Named
from api.throttles import AnnounceThrottle
from shop.core.tagcode import printed
from shop.floor.flows import intake
from shop.people.models import Customer
from shop.units import actions, queries
from shop.units.models import Announcement, Waiting


class AnnouncementOut(GivenRow):
    """A unit that somebody means to send. code goes into the parcel."""

    code = serializers.SerializerMethodField()

    class Meta:
        model = Announcement
        fields = ["id", "code", "name", "email", "phone", "device", "complaint", "unit", "created_at"]

    def get_code(self, row: Announcement) -> str:
        """Return the code as it is written on paper."""
        return printed(row.code)


class AnnouncedOut(Given):
    """The code that goes into the parcel."""

    code = serializers.SerializerMethodField()

    def get_code(self, row: Announcement) -> str:
        """Return the code as it is written on paper."""
        return printed(row.code)


class AnnouncementIn(Taken):
    """Who means to send what, and what is wrong with it."""

    name = text(120, required=True)
    email = text(254, required=True)
    phone = text(40)
    device = text(120, required=True)
    complaint = text(2000, required=True)


class Announcements(Endpoint):
    """Announced parcels."""

    throttle_classes = [AnnounceThrottle]

    @operation("list_announcements", verb="units.see", gives=AnnouncementOut, page=Order("created_at"))
    def get(self, call: Call) -> object:  # noqa: ARG002
        """List announced parcels that have not arrived, oldest first."""
        return queries.open_announcements()

    @operation("announce", verb="units.announce", takes=AnnouncementIn, gives=AnnouncedOut, status=201)
    def post(self, call: Call) -> Announcement:
        """Announce a unit that is to be sent in; packing advice and a code come by e-mail."""
        return intake.announce(actor=call.actor, **call.data)


class WaitingOut(GivenRow):
    """Somebody who waits for room in the shop."""

    customer = Named()

    class Meta:
        model = Waiting
        fields = ["id", "customer", "device", "words", "ended_at", "created_at"]


class WaitingIn(Taken):
    """Who waits, with which device."""

    customer = IdOf(Customer)
    device = text(120, required=True)
    words = text(1000)


class WaitingList(Endpoint):
    """The waiting list."""

    @operation("list_waiting", verb="units.see", gives=WaitingOut, page=Order("created_at"))
    def get(self, call: Call) -> object:  # noqa: ARG002
        """List who waits for room, longest first."""
        return queries.waiting_list()

    @operation("put_on_waiting_list", verb="units.write_up", takes=WaitingIn, gives=WaitingOut, status=201)
    def post(self, call: Call) -> Waiting:
        """Put a customer on the waiting list."""
        said = call.data
        return actions.put_on_waiting_list(
            actor=call.actor, customer_id=said["customer"], device=said["device"], text=said["words"]
        )


class EndWaiting(Endpoint):
    """The end of waiting."""

    @operation("end_waiting", verb="units.write_up", gives=WaitingOut)
    def post(self, call: Call, waiting_id: UUID) -> Waiting:
        """Take a customer off the waiting list."""
        return actions.end_waiting(actor=call.actor, waiting_id=waiting_id)


class RoomOut(Given):
    """How full the shelves and boxes are."""

    inside = serializers.IntegerField()
    capacity = serializers.IntegerField()
    full = serializers.BooleanField()


class RoomLeft(Endpoint):
    """How full the shop is."""

    @operation("get_room", verb="units.see", gives=RoomOut)
    def get(self, call: Call) -> object:  # noqa: ARG002
        """Show how many units lie in shelves and boxes and how many would fit."""
        return queries.room_left()
