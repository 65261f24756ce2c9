"""What is due, bills, payments and receipts. Money is in minor units."""

from uuid import UUID

from rest_framework import serializers

from api.fields import Given, GivenRow, Taken, minor, text
from api.operation import Call, Endpoint, operation
from shop.books import queries
from shop.books.models import Invoice, Payment
from shop.books.queries import Due
from shop.books.receipts import receipt_pdf
from shop.floor.flows import money, pickup
from shop.units import queries as units


class DueOut(Given):
    """What a unit comes to, what was paid, and what is open; billed says whether the bill was issued."""

    total_minor = serializers.IntegerField()
    paid_minor = serializers.IntegerField()
    due_minor = serializers.IntegerField()
    currency = serializers.CharField()
    billed = serializers.BooleanField()


class AmountDue(Endpoint):
    """What is due."""

    @operation("get_due", verb="books.see", gives=DueOut)
    def get(self, call: Call, unit_id: UUID) -> Due:  # noqa: ARG002
        """Show what is due for a unit."""
        return queries.amount_due(units.one(unit_id))


class BillUnit(Endpoint):
    """The bill of a unit."""

    @operation("bill_unit", verb="books.bill", gives=DueOut)
    def post(self, call: Call, unit_id: UUID) -> Due:
        """Issue the bill of a unit in pickup; where nothing is owed there is none."""
        units.one(unit_id)
        pickup.bill(actor=call.actor, unit_id=unit_id)
        return queries.amount_due(units.one(unit_id))


class SaleIn(Taken):
    """The price before tax."""

    price_minor = minor()


class InvoiceOut(GivenRow):
    """An issued bill."""

    class Meta:
        model = Invoice
        fields = ["id", "number", "currency", "net_minor", "tax_name", "tax_minor", "total_minor", "issued_on"]


class SellUnit(Endpoint):
    """The sale of the shop's own unit."""

    @operation("sell_unit", verb="books.bill", takes=SaleIn, gives=InvoiceOut, status=201)
    def post(self, call: Call, unit_id: UUID) -> Invoice:
        """Bill the sale of the shop's own unit."""
        units.one(unit_id)
        return pickup.sell(actor=call.actor, unit_id=unit_id, price_minor=call.data["price_minor"])


class PaymentOut(GivenRow):
    """Money taken, or given back (below zero)."""

    class Meta:
        model = Payment
        fields = ["id", "number", "method", "amount_minor", "currency", "reference", "created_at"]


class PaymentIn(Taken):
    """A payment and how it was made; no card data is taken."""

    amount_minor = minor()
    method = serializers.ChoiceField(Payment.Method.choices)
    reference = text(80)


class Payments(Endpoint):
    """Payments for a unit."""

    @operation("list_payments", verb="books.see", gives=PaymentOut, many=True)
    def get(self, call: Call, unit_id: UUID) -> object:  # noqa: ARG002
        """List a unit's payments in order."""
        return queries.payments(units.one(unit_id))

    @operation("take_payment", verb="books.take_payment", takes=PaymentIn, gives=PaymentOut, status=201)
    def post(self, call: Call, unit_id: UUID) -> Payment:
        """Take a payment for a unit."""
        units.one(unit_id)
        return money.take_payment(actor=call.actor, unit_id=unit_id, **call.data)


class GiveBackIn(Taken):
    """Money to give back, and why."""

    amount_minor = minor()
    method = serializers.ChoiceField(Payment.Method.choices)
    reason = text(200, required=True)
    reference = text(80)


class GiveBack(Endpoint):
    """Money given back."""

    @operation("give_back", verb="books.give_back", takes=GiveBackIn, gives=PaymentOut, status=201)
    def post(self, call: Call, unit_id: UUID) -> Payment:
        """Give money back, with the reason."""
        units.one(unit_id)
        return money.give_back(actor=call.actor, unit_id=unit_id, **call.data)


class Receipt(Endpoint):
    """Bill and receipt."""

    @operation("get_receipt", verb="books.see", binary=("application/pdf",))
    def get(self, call: Call, unit_id: UUID) -> bytes:  # noqa: ARG002
        """Return a unit's bill and receipt as PDF."""
        return receipt_pdf(units.one(unit_id))
