"""Units and everything that belongs to one visit."""

from shop.units.models.belongings import Bag, Cost, Finding, Incident, Parcel, UnitPhoto
from shop.units.models.customers_side import Announcement, Consent, CustomerLink, Waiting
from shop.units.models.unit import Hold, Outcome, Stage, Unit, Visit

__all__ = [
    "Announcement",
    "Bag",
    "Consent",
    "Cost",
    "CustomerLink",
    "Finding",
    "Hold",
    "Incident",
    "Outcome",
    "Parcel",
    "Stage",
    "Unit",
    "UnitPhoto",
    "Visit",
    "Waiting",
]
