"""Dates told to customers; who works when and can do what; the plans that were made from it."""

from shop.planning.models.facts import (
    DayOff,
    ExtraDay,
    Fact,
    Pin,
    Precedence,
    RunsAlone,
    Shift,
    TechnicianSkill,
)
from shop.planning.models.plans import Plan, PlanStep, PlanUnit, PlanUnplanned
from shop.planning.models.promises import Promise

__all__ = [
    "DayOff",
    "ExtraDay",
    "Fact",
    "Pin",
    "Plan",
    "PlanStep",
    "PlanUnit",
    "PlanUnplanned",
    "Precedence",
    "Promise",
    "RunsAlone",
    "Shift",
    "TechnicianSkill",
]
