"""The desk: notices, the customer's link, the shop's profile, promises."""

from datetime import date
from typing import Any
from uuid import UUID

from rest_framework import serializers

from api.fields import Given, GivenRow, Taken, Text, YesNo, minor, text, whole
from api.operation import Call, Endpoint, operation
from shop.core.models import ShopProfile, TaxBasis, TaxRounding
from shop.core.profile import change_profile, profile
from shop.floor.flows import pickup
from shop.notices import actions as notices
from shop.notices import queries as sent
from shop.notices.models import Envelope
from shop.planning import actions as planning
from shop.planning import queries as plans
from shop.planning.models import Promise
from shop.units import links, queries


class TryOut(Given):
    """One try to send a message."""

    at = serializers.DateTimeField()
    ok = serializers.BooleanField()
    words = serializers.CharField()


class MessageOut(Given):
    """A message to somebody, with every try to send it."""

    id = serializers.UUIDField()
    events = serializers.ListField(child=serializers.CharField())
    unit_ids = serializers.ListField(child=serializers.UUIDField())
    address = serializers.CharField()
    state = serializers.CharField()
    written_at = serializers.DateTimeField()
    due_at = serializers.DateTimeField()
    done_at = serializers.DateTimeField(allow_null=True)
    tries = TryOut(many=True)


class Messages(Endpoint):
    """The last messages."""

    @operation("list_messages", verb="notices.see", gives=MessageOut, many=True)
    def get(self, call: Call) -> object:  # noqa: ARG002
        """List the last messages, newest first."""
        return sent.recent()


class FailedMessages(Endpoint):
    """Messages that could not be delivered."""

    @operation("list_failed_messages", verb="notices.see", gives=MessageOut, many=True)
    def get(self, call: Call) -> object:  # noqa: ARG002
        """List the messages that failed for good."""
        return sent.failed()


class EnvelopeOut(GivenRow):
    """Where a message stands."""

    class Meta:
        model = Envelope
        fields = ["id", "channel", "state", "due_at", "attempts"]


class SendAgain(Endpoint):
    """Another try."""

    @operation("send_message_again", verb="notices.resend", gives=EnvelopeOut)
    def post(self, call: Call, message_id: UUID) -> Envelope:
        """Send a failed message again."""
        return notices.send_again(actor=call.actor, envelope_id=message_id)


class LinkOut(Given):
    """The address of the customer's page; empty when it was withdrawn."""

    address = serializers.CharField(allow_blank=True)


def _link(call: Call, unit_id: UUID) -> dict[str, str]:
    unit = queries.one(unit_id)
    opened = links.open_link(unit)
    return {"address": links.shown_address(actor=call.actor, unit=unit) if opened else ""}


class CustomersLink(Endpoint):
    """The customer's link."""

    @operation("get_link", verb="units.link", gives=LinkOut)
    def get(self, call: Call, unit_id: UUID) -> dict[str, str]:
        """Show the address of the customer's page."""
        return _link(call, unit_id)


class RenewLink(Endpoint):
    """A new link."""

    @operation("renew_link", verb="units.link", gives=LinkOut, secret=("address",))
    def post(self, call: Call, unit_id: UUID) -> dict[str, str]:
        """End the customer's link and send a new one."""
        queries.one(unit_id)
        pickup.renew_link(actor=call.actor, unit_id=unit_id)
        return _link(call, unit_id)


class WithdrawLink(Endpoint):
    """The end of a link."""

    @operation("withdraw_link", verb="units.link", gives=LinkOut)
    def post(self, call: Call, unit_id: UUID) -> dict[str, str]:
        """Withdraw the customer's link."""
        queries.one(unit_id)
        pickup.revoke_link(actor=call.actor, unit_id=unit_id)
        return _link(call, unit_id)


class ProfileOut(GivenRow):
    """What the shop says of itself. Tax figures are for review by a person."""

    class Meta:
        model = ShopProfile
        fields = [
            "version", "name", "street", "town", "email", "phone", "currency", "locale", "time_zone",
            "tax_rate_millipercent", "tax_name", "diagnosis_fee_minor", "quote_days", "warranty_days",
            "minutes_per_day", "prices_include_tax", "tax_reduced_millipercent", "tax_basis", "tax_rounding",
            "labour_rate_minor", "labour_step_minutes", "urgency_millipercent", "insurance_millipercent",
            "insurance_least_minor", "fee_credited", "deposit_percent", "deposit_from_minor", "payment_link",
            "payment_words", "packing_words", "quiet_from", "quiet_until", "digest_minutes", "promise_percent",
            "holidays_of",
        ]  # fmt: skip


class ProfileChange(Taken):
    """What is to be changed; what is left out stays."""

    name, street, town = (Text(max_length=80, required=False, allow_blank=blank) for blank in (False, True, True))
    email = Text(max_length=254, required=False, allow_blank=True)
    phone = Text(max_length=40, required=False, allow_blank=True)
    time_zone = Text(max_length=40, required=False)
    tax_name = Text(max_length=30, required=False, allow_blank=True)
    tax_rate_millipercent = whole(0, 100_000, required=False)
    diagnosis_fee_minor = minor(required=False)
    quote_days = whole(1, 365, required=False)
    warranty_days = whole(0, 3650, required=False)
    minutes_per_day = whole(1, 1440, required=False)
    prices_include_tax = YesNo(required=False)
    tax_reduced_millipercent = whole(0, 100_000, required=False)
    tax_basis = serializers.ChoiceField(TaxBasis.choices, required=False)
    tax_rounding = serializers.ChoiceField(TaxRounding.choices, required=False)
    labour_rate_minor = minor(required=False)
    labour_step_minutes = whole(1, 240, required=False)
    urgency_millipercent = whole(0, 1_000_000, required=False)
    insurance_millipercent = whole(0, 100_000, required=False)
    insurance_least_minor = minor(required=False)
    fee_credited = YesNo(required=False)
    deposit_percent = whole(0, 100, required=False)
    deposit_from_minor = minor(required=False)
    payment_link = Text(max_length=300, required=False, allow_blank=True)
    payment_words = Text(max_length=2000, required=False, allow_blank=True)
    packing_words = Text(max_length=2000, required=False, allow_blank=True)
    quiet_from = serializers.TimeField(required=False, allow_null=True)
    quiet_until = serializers.TimeField(required=False, allow_null=True)
    digest_minutes = whole(0, 240, required=False)
    promise_percent = whole(50, 99, required=False)
    holidays_of = Text(max_length=10, required=False, allow_blank=True)


class Profile(Endpoint):
    """The shop."""

    @operation("get_profile", verb="floor.see", gives=ProfileOut)
    def get(self, call: Call) -> ShopProfile:  # noqa: ARG002
        """Show the shop's profile."""
        return profile()

    @operation("change_profile", verb="core.change_profile", takes=ProfileChange, gives=ProfileOut, if_match=True)
    def patch(self, call: Call) -> ShopProfile:
        """Change the shop's profile."""
        return change_profile(actor=call.actor, version=call.version, **call.data)


class PromiseOut(GivenRow):
    """A date told to a customer, and how sure it is."""

    class Meta:
        model = Promise
        fields = ["id", "on", "percent", "created_at"]


class PromiseIn(Taken):
    """Another date, and why."""

    on = serializers.DateField()
    words = text(500)


class GivePromise(Endpoint):
    """A date given by hand."""

    @operation("promise", verb="planning.promise", takes=PromiseIn, gives=PromiseOut, if_match=True, status=201)
    def post(self, call: Call, unit_id: UUID) -> Promise:
        """Promise another date for a unit."""
        on: date = call.data["on"]
        return planning.promise_by_hand(
            actor=call.actor, unit_id=unit_id, version=call.version, on=on, words=call.data["words"]
        )


class TechnicianOut(Given):
    """How much somebody has in hand."""

    user_id = serializers.UUIDField()
    name = serializers.CharField()
    units = serializers.IntegerField()
    minutes = serializers.IntegerField()


class LoadOut(Given):
    """Units in each stage, minutes of bench work that wait, and what each technician has in hand."""

    by_stage = serializers.DictField(child=serializers.IntegerField())
    minutes_waiting = serializers.IntegerField()
    technicians = TechnicianOut(many=True)


class Load(Endpoint):
    """Work at hand."""

    @operation("get_load", verb="floor.see", gives=LoadOut)
    def get(self, call: Call) -> Any:  # noqa: ARG002
        """Show how much work there is and who has it."""
        return plans.load()
