"""Messages in full: one of them, those of a sort, what customers do not want, what is heard back."""

from typing import Any
from uuid import UUID

from django.conf import settings
from rest_framework import serializers
from rest_framework.parsers import FormParser

from api.fields import Given, Taken, Text
from api.http import StrictJSONParser
from api.operation import Call, Endpoint, operation
from api.resources.desk import EnvelopeOut, MessageOut, TryOut
from shop.core.reasons import Missing, Reason
from shop.core.rows import existing
from shop.notices import actions, queries
from shop.notices.bounces import LIMIT_BYTES
from shop.notices.models import Envelope
from shop.people.models import Customer


class MessageInFullOut(MessageOut):
    """A message with its channel, the end of the quiet hours it waits for, and what was heard of it since.

    delivery is empty, delivered, delayed or bounced; came_back is how many messages came back for good from this
    address of late, dead says that nothing more is sent there.
    """

    channel = serializers.CharField()
    held_until = serializers.DateTimeField(allow_null=True)
    delivery = serializers.CharField()
    heard = TryOut(many=True)
    came_back = serializers.IntegerField()
    dead = serializers.BooleanField()


class WhichMessages(Taken):
    """Which messages: all, failed, waiting, held for quiet hours, or sent."""

    show = serializers.ChoiceField(choices=queries.SHOWN, required=False, default="all")


class MessagesOfASort(Endpoint):
    """Messages of one sort."""

    @operation("list_messages_in_full", verb="notices.see", query=WhichMessages, gives=MessageInFullOut, many=True)
    def get(self, call: Call) -> object:
        """List the last messages of one sort, newest first."""
        return queries.shown(call.query["show"])


class OneMessage(Endpoint):
    """One message."""

    @operation("get_message", verb="notices.see", gives=MessageInFullOut)
    def get(self, call: Call, message_id: UUID) -> object:  # noqa: ARG002
        """Show a message with every try to send it."""
        found = queries.one(message_id)
        if found is None:
            raise Missing(Reason("missing", {"thing": "message", "sought": message_id}))
        return found


class ChoiceOut(Given):
    """A group of messages that can be stopped, and whether the customer has stopped it."""

    group = serializers.CharField()
    words = serializers.CharField()
    stopped = serializers.BooleanField()


class ChoicesIn(Taken):
    """Groups whose messages stop, and groups whose messages come again."""

    stop = serializers.ListField(child=Text(max_length=10), default=list, max_length=10)
    want = serializers.ListField(child=Text(max_length=10), default=list, max_length=10)


def _choices(customer_id: UUID) -> list[dict[str, Any]]:
    customer = existing(Customer, customer_id)
    return [
        {"group": group.value, "words": group.label, "stopped": stopped}
        for group, stopped in queries.choices_of(customer)
    ]


class UnwantedMessages(Endpoint):
    """What a customer does not want to be sent."""

    @operation("list_unwanted", verb="notices.see_choices", gives=ChoiceOut, many=True)
    def get(self, call: Call, customer_id: UUID) -> object:  # noqa: ARG002
        """List the groups of messages that can be stopped."""
        return _choices(customer_id)

    @operation("change_unwanted", verb="notices.choose", takes=ChoicesIn, gives=ChoiceOut, many=True)
    def post(self, call: Call, customer_id: UUID) -> object:
        """Stop messages for a customer, or let them come again."""
        existing(Customer, customer_id)
        actions.choose_messages(actor=call.actor, customer_id=customer_id, **call.data)
        return _choices(customer_id)


class BounceIn(Taken):
    """A report of delivery as the mail server wrote it, whole."""

    message = serializers.CharField(max_length=LIMIT_BYTES, trim_whitespace=False)


class Bounces(Endpoint):
    """Messages that came back."""

    @operation("report_bounce", verb="notices.report_bounce", takes=BounceIn, gives=EnvelopeOut)
    def post(self, call: Call) -> Envelope:
        """Take a report of delivery (RFC 3464)."""
        raw: str = call.data["message"]
        return actions.take_bounce(actor=call.actor, raw=raw.encode())


class SmsReportIn(serializers.Serializer[Any]):
    """A gateway's report. The names of the fields are those of the settings; these are the ones without any."""

    reference = serializers.CharField(max_length=120, required=False, default="", allow_blank=True)
    id = serializers.CharField(max_length=120, required=False, default="", allow_blank=True)
    status = serializers.CharField(max_length=80)

    def to_internal_value(self, data: Any) -> dict[str, str]:
        """Return reference, number and status by the names that this gateway gives them."""
        given = data if hasattr(data, "get") else {}
        return {ours: str(given.get(theirs) or "")[:120] for ours, theirs in settings.SMS_REPORT_FIELDS.items()}


class SmsReports(Endpoint):
    """What became of text messages."""

    authentication_classes = []
    parser_classes = [StrictJSONParser, FormParser]

    @operation("report_text_message", verb="notices.report_sms", takes=SmsReportIn, gives=None, status=204)
    def post(self, call: Call, secret: str) -> None:
        """Take a gateway's report of delivery; the last part of the address is the secret of the settings."""
        said = {"reference": "", "number": "", "status": ""} | call.data
        actions.take_sms_report(actor=call.actor, secret=secret, **said)
