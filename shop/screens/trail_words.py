"""How the rows of a unit's trail read on its page: one sentence for each verb that the rooms write."""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from shop.books.models import Payment, Release
from shop.core import money
from shop.core.actor import Role
from shop.core.models import TrailEntry
from shop.core.profile import profile
from shop.notices.models import Event
from shop.reckoner.contents import RECKONINGS
from shop.testing.models import Reading
from shop.units.models import Bag, Consent, Finding, Hold, Outcome, Stage, UnitPhoto, Visit

# {before} and {after} are the row's own; the other names are its facts, worded by _facts_in_words.
TRAIL_WORDS: dict[str, Promise] = {
    "written_up": _("Written up"),
    "write_up_changed": _("The write-up was changed: {fields}"),
    "consents_recorded": _("Asked what is agreed"),
    "announcement_met": _("It is the parcel that was announced"),
    "parcel_arrived": _("Arrived by mail, {declared} declared"),
    "parcel_sent": _("Sent by mail, {declared} declared"),
    "photo_added": _("A picture: {purpose}"),
    "bag_added": _("A bag for {kind}"),
    "finding_added": _("Found: {kind}"),
    "finding_settled": _("Dealt with: {kind}"),
    "finding_open_again": _("Open again: {kind}"),
    "incident_recorded": _("An incident was written down"),
    "cost_added": _("A cost: {amount}"),
    "comeback_decided": _("The comeback is {after}"),
    "moved": _("From {before} to {after}"),
    "placed": _("Put on {after}"),
    "refused": _("Refused at intake"),
    "diagnosed": _("The diagnosis is done"),
    "parked": _("Parked"),
    "test_failed": _("A test failed: back to the bench"),
    "recalled": _("Back from pickup, to be tested again"),
    "left": _("It left: {after}"),
    "held": _("On hold for {after}"),
    "hold_lifted": _("No longer on hold for {before}"),
    "promised": _("Promised for {after}"),
    "promise_withdrawn": _("No longer promised for {before}"),
    "pinned": _("Stays with {after}"),
    "unpinned": _("Need not stay with {before}"),
    "put_first": _("Goes before the others"),
    "put_back": _("Waits its turn again"),
    "opened": _("Opened"),
    "revision_named": _("The board is a {after}"),
    "sheet_made": _("A job sheet of {steps} steps for the {after}"),
    "work_began": _("Began at the bench"),
    "step_ticked": _("Done: {after}"),
    "step_unticked": _("Not done after all: {before}"),
    "fasteners_out": _("{count} fasteners out"),
    "fasteners_back": _("{count} fasteners back, {back} of {out}"),
    "fasteners_written_off": _("{count} fasteners written off as lost"),
    "kit_reserved": _("Parts were reserved"),
    "kit_released": _("Reserved parts went back"),
    "kit_issued": _("Parts were taken for it"),
    "reading_taken": _("A reading: {after}"),
    "quote_drafted": _("Quote {edition} was begun"),
    "quote_changed": _("The draft of the quote was changed"),
    "quote_sent": _("Quote {after} was sent: {total}"),
    "quote_approved": _("Quote {after} was approved: {total}"),
    "quote_declined": _("Quote {after} was declined"),
    "quote_withdrawn": _("Quote {before} was taken back"),
    "quote_expired": _("Quote {before} ran out"),
    "went_ahead_within_limit": _("Quote {after} lies within the limit: went ahead"),
    "question_asked": _("The customer asked"),
    "question_answered": _("The customer's question was answered"),
    "deposit_asked": _("A deposit was asked for: {amount}"),
    "deposit_paid": _("The deposit is paid: {amount}"),
    "deposit_uncovered": _("The deposit is no longer covered: {amount} is missing"),
    "deposit_waived": _("The deposit was waived"),
    "reckoned": _("Reckoned: {after}"),
    "invoice_issued": _("Billed: {total}"),
    "payment_taken": _("Paid: {amount}, {method}"),
    "money_given_back": _("Given back: {amount}, {method}"),
    "pickup_code_wrong": _("A wrong code was shown for pickup"),
    "released": _("Released: {after}"),
    "link_renewed": _("The customer got a new link"),
    "link_withdrawn": _("The customer's link was withdrawn"),
    "notice_done": _("Told the customer: {events}"),
    "notice_failed": _("Could not tell the customer: {events}"),
    "notice_cancelled": _("Not told, as the customer wishes: {events}"),
    "notice_sent_again": _("Told the customer once more: {events}"),
}
_ROLES: dict[str, Promise] = {
    Role.OWNER: _("the owner"),
    Role.TECHNICIAN: _("a technician"),
    Role.COUNTER: _("the counter"),
    Role.CUSTOMER: _("the customer"),
    Role.SYSTEM: _("the shop's program"),
    Role.STRANGER: _("somebody unknown"),
}
# What the codes in a row are called, for all verbs but those named in _OF_VERB.
_CODES: dict[str, Promise | str] = {
    value: label
    for choices in (
        Stage.choices, Outcome.choices, Hold.Kind.choices, Visit.choices, Reading.Verdict.choices, Bag.Kind.choices,
        Consent.Kind.choices, Finding.Kind.choices, Payment.Method.choices, Event.choices,
    )
    for value, label in choices
}  # fmt: skip
_OF_VERB: dict[str, dict[str, Promise | str]] = {
    "released": dict(Release.Check.choices),
    "photo_added": dict(UnitPhoto.Purpose.choices),
    "comeback_decided": {"free": _("free of charge"), "charged": _("to be charged")},
    "sheet_made": dict(Visit.choices),
    "reckoned": {name: each.title for name, each in RECKONINGS.items()},
}
_FIELDS: dict[str, Promise] = {
    "serial": _("serial number"),
    "complaint": _("complaint"),
    "came_with": _("what came with it"),
    "condition": _("condition"),
    "cable": _("cable"),
    "display": _("display"),
    "region": _("region"),
}


@dataclass(frozen=True, slots=True)
class TrailLine:
    """One row of the trail in words: what, the words that went with it, when, and who."""

    words: str
    note: str
    at: datetime
    who: str


def trail_lines(entries: Iterable[TrailEntry], known: Mapping[str, str]) -> list[TrailLine]:
    """Return rows in words, in their order. known says what the ids in them are called: people, steps, readings."""
    return [
        TrailLine(
            words=_words(entry, known),
            note=entry.note.text if entry.note else "",
            at=entry.happened_at,
            who=known.get(entry.actor_id) or str(_ROLES.get(entry.actor_role, entry.actor_role)),
        )
        for entry in entries
    ]


class _OrDash(dict[str, str]):
    """Facts for a sentence; one that an older row lacks reads as a dash."""

    def __missing__(self, _key: str) -> str:
        return "–"


def _words(entry: TrailEntry, known: Mapping[str, str]) -> str:
    facts = json.loads(entry.facts or "{}")
    codes = {**_CODES, **_FIELDS, **_OF_VERB.get(entry.what, {})}
    worded = _OrDash({name: _worded(value, codes) for name, value in facts.items()})
    worded |= {"before": str(codes.get(entry.before, entry.before)), "after": str(codes.get(entry.after, entry.after))}
    for name in ("step", "reading"):
        if named := known.get(str(facts.get(name))):
            worded["before" if entry.what == "step_unticked" else "after"] = _named(entry, named, worded["after"])
    currency = facts.get("currency") or profile().currency
    for name in ("amount", "total", "declared"):
        if (minor := facts.get(f"{name}_minor")) is not None:
            worded[name] = money.show(abs(minor), currency, profile().locale)
    return str(TRAIL_WORDS.get(entry.what, entry.what)).format_map(worded)


def _named(entry: TrailEntry, named: str, verdict: str) -> str:
    return f"{named}, {verdict}" if entry.what == "reading_taken" else named


def _worded(value: object, codes: Mapping[str, Promise | str]) -> str:
    if isinstance(value, list):
        return ", ".join(_worded(item, codes) for item in value)
    return str(codes.get(value, value)) if isinstance(value, str) else str(value)
