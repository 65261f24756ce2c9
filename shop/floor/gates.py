"""Gather from the rooms the facts that the table of the journey looks at."""

from typing import Any

from shop.books.queries import amount_due
from shop.core import money
from shop.core.models import ShopProfile
from shop.core.profile import profile
from shop.core.reasons import Reason, Refused
from shop.floor.rules import Facts
from shop.floor.stages import Move, Offer, decide, offers
from shop.quotes.models import QuoteVersion
from shop.quotes.queries import cleared
from shop.testing.models import Phase
from shop.testing.queries import Standing, has_measurements, standing
from shop.units.models import Consent, Finding, Hold, Parcel, Place, Stage, Unit, UnitPhoto
from shop.work.models import FastenerGroup
from shop.work.queries import fasteners_missing, open_steps

_NOTHING = Standing(missing=(), failed=(), undecided=(), done=0, wanted=0)
_VIDEO_QUESTIONS = {"cable": "cable", "display": "display", "region": "region"}


def facts_of(unit: Unit) -> Facts:
    """Return the facts of one unit; reads only what its stage's gates can ask for."""
    stage = unit.stage
    return Facts(
        stage=stage,
        visit=unit.visit,
        own=unit.own,
        by_mail=unit.by_mail,
        opened=unit.opened,
        diagnosed=unit.diagnosed,
        ending=unit.ending,
        placed=unit.place_id is not None,
        insects_loose=_insects_loose(unit),
        comeback_undecided=unit.earlier_unit_id is not None and unit.free_of_charge is None,
        **(_intake(unit) if stage == Stage.INTAKE else {}),
        **(_queue(unit) if stage == Stage.QUEUE else {}),
        **(_bench(unit) if stage == Stage.BENCH else {}),
        **(_testing(unit) if stage == Stage.TESTING else {}),
        **(_pickup(unit) if stage == Stage.PICKUP else {}),
    )


def _insects_loose(unit: Unit) -> bool:
    found = Finding.objects.filter(unit=unit, kind=Finding.Kind.INSECTS, settled_at=None).exists()
    return found and (unit.place is None or unit.place.kind != Place.Kind.SEALED or unit.stage != Stage.INTAKE)


def _intake(unit: Unit) -> dict[str, Any]:
    answered = set(Consent.objects.filter(unit=unit).values_list("kind", flat=True))
    missing = tuple(str(kind.label) for kind in Consent.Kind if kind not in answered)
    return {"consents_missing": missing}


def work_clearance(unit: Unit) -> str:
    """Return what allows work on the unit: own, free (a comeback), quote, limit, or an empty string."""
    if unit.own:
        return "own"
    if unit.free_of_charge:
        return "free"
    return cleared(unit.id)


def _queue(unit: Unit) -> dict[str, Any]:
    holds = Hold.objects.filter(unit=unit, lifted_at=None).exclude(kind=Hold.Kind.APPROVAL)
    asks_video = unit.services.filter(asks_video=True).exists()
    missing = tuple(name for field, name in _VIDEO_QUESTIONS.items() if not getattr(unit, field))
    return {
        "holds": tuple(_hold_words(hold) for hold in holds),
        "diagnosis_agreed": unit.agreed != Unit.Agreed.NOTHING,
        "cleared": work_clearance(unit),
        "quote_waiting": QuoteVersion.objects.filter(unit=unit, state=QuoteVersion.State.SENT).exists(),
        "video_answers_missing": missing if asks_video else (),
    }


def _hold_words(hold: Hold) -> str:
    kind = str(hold.get_kind_display())
    return f"{kind} ({hold.words})" if hold.words else kind


def _bench(unit: Unit) -> dict[str, Any]:
    readings = standing(unit, Phase.OPEN) if unit.visit == "work" else _NOTHING
    groups = fasteners_missing(unit)
    return {
        "revision_known": unit.revision_id is not None,
        "board_photographed": UnitPhoto.objects.filter(unit=unit, purpose=UnitPhoto.Purpose.BOARD).exists(),
        "measured": has_measurements(unit),
        "steps_open": len(open_steps(unit)),
        "fasteners_recorded": FastenerGroup.objects.filter(unit=unit).exists(),
        "fasteners_missing": tuple(f"{group.out - group.back} from {group.where}" for group in groups),
        "open_missing": readings.missing,
        "open_failed": readings.failed,
        "open_undecided": readings.undecided,
    }


def _testing(unit: Unit) -> dict[str, Any]:
    readings = standing(unit, Phase.CLOSED) if unit.visit == "work" else _NOTHING
    return {
        "closed_missing": readings.missing,
        "closed_failed": readings.failed,
        "closed_undecided": readings.undecided,
    }


def _pickup(unit: Unit) -> dict[str, Any]:
    shop: ShopProfile = profile()
    due = amount_due(unit)
    return {
        "due": money.show(due.due_minor, due.currency, shop.locale) if due.due_minor > 0 else "",
        "parcel_sent": Parcel.objects.filter(unit=unit, direction=Parcel.Direction.OUT).exists(),
        "packing_photographed": UnitPhoto.objects.filter(unit=unit, purpose=UnitPhoto.Purpose.PACKING_OUT).exists(),
    }


def offers_for(unit: Unit) -> list[Offer]:
    """Return what may happen to a unit next, and why not yet."""
    return [] if unit.outcome else offers(facts_of(unit))


def insist(unit: Unit, move: Move) -> Offer:
    """Let a move of a locked unit pass, or raise Refused with every reason against it."""
    offer = decide(move, facts_of(unit))
    if offer.reasons:
        raise Refused(*(_worded(reason) for reason in offer.reasons))
    return offer


def _worded(reason: Reason) -> Reason:
    """Put the stages' names where a reason carries their codes."""
    if reason.code != "wrong_stage":
        return reason
    names = {stage.value: str(stage.label) for stage in Stage}
    return Reason(reason.code, {key: names.get(str(code), str(code)) for key, code in reason.facts.items()})
