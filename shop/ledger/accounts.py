"""The shop's small chart of accounts. What each is for stands beside it.

It is for review by a person: which accounts a shop must keep is for its local tax authority's rules to say.
"""

from typing import NamedTuple


class Line(NamedTuple):
    """One account of the chart: its name and its kind, a value of `Account.Kind`."""

    name: str
    kind: str


CASH = "cash"
BANK = "bank"
CARD = "card_clearing"
OTHER_MONEY = "other_money"
RECEIVABLE = "receivable"
DEPOSITS = "deposits"
TAX_OWED = "tax_owed"
SALES = "sales"
POSTAGE = "postage_income"
PARTS = "parts_cost"
COMPENSATION = "compensation"

CHART: dict[str, Line] = {
    CASH: Line("Cash in the till", "asset"),
    BANK: Line("Bank", "asset"),
    CARD: Line("Card payments under way", "asset"),
    OTHER_MONEY: Line("Other money taken", "asset"),
    RECEIVABLE: Line("Owed by customers", "asset"),
    DEPOSITS: Line("Deposits of customers", "liability"),
    TAX_OWED: Line("Tax owed", "liability"),
    SALES: Line("Sales of work and parts", "income"),
    POSTAGE: Line("Postage charged", "income"),
    PARTS: Line("Cost of parts", "expense"),
    COMPENSATION: Line("Compensation to customers", "expense"),
}
