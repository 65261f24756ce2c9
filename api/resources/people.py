"""Customers, staff and their devices."""

from typing import Any
from uuid import UUID

from rest_framework import serializers

from api.describe import PageQuery
from api.fields import Given, GivenRow, Taken, Text, YesNo, text
from api.operation import Call, Endpoint, operation
from api.paging import Order
from api.resources.common import Named
from shop.core.rows import existing
from shop.core.tagcode import printed
from shop.people import actions, queries
from shop.people.models import Customer, DeviceToken, User


class CustomerOut(GivenRow):
    """Somebody whose units come here."""

    class Meta:
        model = Customer
        fields = [
            "id", "version", "name", "email", "phone", "channel", "language", "time_zone", "postal_address",
            "notice_consent_at", "created_at",
        ]  # fmt: skip


class CustomerIn(Taken):
    """A new customer; one way of reaching them is needed."""

    name = text(120, required=True)
    email, phone = text(254), text(40)
    channel = serializers.ChoiceField(Customer.Channel.choices, required=False, default=Customer.Channel.EMAIL.value)
    language = text(8)
    time_zone, postal_address = text(40), text(500)
    notice_consent = YesNo()


class CustomerChange(Taken):
    """What is to be changed; what is left out stays."""

    name = Text(max_length=120, required=False)
    email = Text(max_length=254, required=False, allow_blank=True)
    phone = Text(max_length=40, required=False, allow_blank=True)
    channel = serializers.ChoiceField(Customer.Channel.choices, required=False)
    language = Text(max_length=8, required=False)
    time_zone = Text(max_length=40, required=False, allow_blank=True)
    postal_address = Text(max_length=500, required=False, allow_blank=True)
    notice_consent = YesNo(required=False)


class CustomerQuery(PageQuery):
    """Words that must all be found in the name, the e-mail address or the phone number."""

    text = serializers.CharField(max_length=100, required=False, allow_blank=True, default="")


class Customers(Endpoint):
    """Customers."""

    @operation("list_customers", verb="people.see_customer", query=CustomerQuery, gives=CustomerOut, page=Order("name"))
    def get(self, call: Call) -> object:
        """List or find customers, by name."""
        return queries.customers(call.query["text"])

    @operation(
        "add_customer", verb="people.write_customer", takes=CustomerIn, gives=CustomerOut, status=201,
        location="api:customer",
    )  # fmt: skip
    def post(self, call: Call) -> Customer:
        """Write down a new customer."""
        said: dict[str, Any] = call.data | {"language": call.data["language"] or "en"}
        return actions.add_customer(actor=call.actor, **said)


class OneCustomer(Endpoint):
    """One customer."""

    @operation("get_customer", verb="people.see_customer", gives=CustomerOut)
    def get(self, call: Call, customer_id: UUID) -> Customer:  # noqa: ARG002
        """Show a customer."""
        return existing(Customer, customer_id)

    @operation("change_customer", verb="people.write_customer", takes=CustomerChange, gives=CustomerOut, if_match=True)
    def patch(self, call: Call, customer_id: UUID) -> Customer:
        """Change a customer."""
        return actions.change_customer(actor=call.actor, customer_id=customer_id, version=call.version, **call.data)


class StaffOut(GivenRow):
    """Somebody who works here; badge is the printed code of the badge."""

    badge = serializers.SerializerMethodField()

    class Meta:
        model = User
        fields = ["id", "username", "name", "role", "badge", "retired_at", "created_at"]

    def get_badge(self, user: User) -> str:
        """Return the badge's code with its check symbol."""
        return printed(user.badge_code)


class StaffBrief(GivenRow):
    """A colleague."""

    class Meta:
        model = User
        fields = ["id", "name", "role"]


class StaffIn(Taken):
    """A new colleague and a first password."""

    username = text(40, required=True)
    name = text(80, required=True)
    role = serializers.ChoiceField(User.Role.choices)
    password = Text(max_length=200, trim_whitespace=False)


class Staff(Endpoint):
    """Who works here."""

    @operation("list_staff", verb="floor.see", gives=StaffBrief, page=Order("name"))
    def get(self, call: Call) -> object:  # noqa: ARG002
        """List who works here, by name."""
        return queries.staff()

    @operation("add_staff", verb="people.change_staff", takes=StaffIn, gives=StaffOut, status=201)
    def post(self, call: Call) -> User:
        """Give somebody who works here an account."""
        return actions.add_staff(actor=call.actor, **call.data)


class RoleIn(Taken):
    """The new role."""

    role = serializers.ChoiceField(User.Role.choices)


class StaffRole(Endpoint):
    """What somebody does here."""

    @operation("change_staff_role", verb="people.change_staff", takes=RoleIn, gives=StaffOut)
    def post(self, call: Call, user_id: UUID) -> User:
        """Give somebody another role."""
        return actions.change_staff_role(actor=call.actor, user_id=user_id, role=call.data["role"])


class RetireStaff(Endpoint):
    """Somebody leaves."""

    @operation("retire_staff", verb="people.change_staff", gives=StaffOut)
    def post(self, call: Call, user_id: UUID) -> User:
        """Close the account of somebody who leaves, with all device tokens."""
        return actions.retire_staff(actor=call.actor, user_id=user_id)


class PasswordIn(Taken):
    """A new password."""

    password = Text(max_length=200, trim_whitespace=False)


class StaffPassword(Endpoint):
    """Somebody else's password."""

    @operation("set_staff_password", verb="people.change_staff", takes=PasswordIn, gives=StaffOut)
    def post(self, call: Call, user_id: UUID) -> User:
        """Give somebody a new password, which ends their sessions."""
        return actions.set_password(actor=call.actor, user_id=user_id, password=call.data["password"])


class TokenOut(GivenRow):
    """A device that acts in somebody's name. The token itself is never shown again."""

    user = Named()

    class Meta:
        model = DeviceToken
        fields = ["id", "name", "user", "last_used_at", "revoked_at", "created_at"]


class IssuedOut(Given):
    """A new token. It is shown this once; a repeat of the request gets null in its place."""

    id = serializers.UUIDField()
    name = serializers.CharField()
    token = serializers.CharField(allow_null=True)


class TokenIn(Taken):
    """What to call the device."""

    name = text(60, required=True)


class Tokens(Endpoint):
    """Device tokens."""

    @operation("list_tokens", verb="people.issue_token", gives=TokenOut, page=Order("created_at"))
    def get(self, call: Call) -> object:  # noqa: ARG002
        """List the tokens that still work."""
        return queries.tokens()


class IssueToken(Endpoint):
    """Somebody's device tokens."""

    @operation("issue_token", verb="people.issue_token", takes=TokenIn, gives=IssuedOut, status=201, secret=("token",))
    def post(self, call: Call, user_id: UUID) -> object:
        """Let a device act in somebody's name."""
        row, secret = actions.issue_token(actor=call.actor, user_id=user_id, name=call.data["name"])
        return {"id": row.id, "name": row.name, "token": secret}


class RevokeToken(Endpoint):
    """The end of a token."""

    @operation("revoke_token", verb="people.issue_token", gives=TokenOut)
    def post(self, call: Call, token_id: UUID) -> DeviceToken:
        """Make a device's token useless from now on."""
        return actions.revoke_token(actor=call.actor, token_id=token_id)


class MeOut(Given):
    """Who a token acts for."""

    id = serializers.CharField()
    name = serializers.CharField()
    role = serializers.CharField()
    device = serializers.CharField()


class Me(Endpoint):
    """Whoever asks."""

    @operation("get_me", verb="floor.see", gives=MeOut)
    def get(self, call: Call) -> object:
        """Show who this token acts for."""
        return call.actor
