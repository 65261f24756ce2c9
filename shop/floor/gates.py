"""Gather from the rooms the facts that the table of the journey looks at."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from shop.boards.models import Service
from shop.boards.queries import spots_of
from shop.boards.selecting import selected
from shop.books.deposits import open_requests
from shop.books.queries import amount_due
from shop.core import money
from shop.core.models import ShopProfile
from shop.core.profile import profile
from shop.core.reasons import Reason, Refused
from shop.floor.rules import Facts
from shop.floor.stages import Move, Offer, decide, offers
from shop.people.models import Place
from shop.quotes.models import QuoteVersion
from shop.quotes.queries import approved, cleared
from shop.testing.models import Phase
from shop.testing.queries import Standing, has_measurements, standing
from shop.units.models import Consent, Finding, Hold, Parcel, Stage, Unit, UnitPhoto
from shop.units.steps import free_place
from shop.work.models import FastenerGroup, JobStep
from shop.work.order import FITTING
from shop.work.queries import fasteners_missing, open_steps

_NOTHING = Standing(missing=(), failed=(), undecided=(), done=0, wanted=0)
_VIDEO_QUESTIONS = {"cable": "cable", "display": "display", "region": "region"}


@dataclass(frozen=True, slots=True)
class _Asked:
    """What the rooms say of several units at once, so that a list of units costs no more queries than one."""

    infested: frozenset[UUID]
    held: dict[UUID, tuple[str, ...]]
    wants_video: frozenset[UUID]
    approved_within_limit: dict[UUID, bool]
    quote_waiting: frozenset[UUID]
    deposit_due: dict[UUID, str]


def facts_of(unit: Unit) -> Facts:
    """Return the facts of one unit; reads only what its stage's gates can ask for."""
    return _facts_of(unit, _ask([unit]))


def _ask(units: Sequence[Unit]) -> _Asked:
    """Ask the rooms about units; what is asked of those in the queue alone costs nothing when there are none."""
    infested = Finding.objects.filter(unit__in=units, kind=Finding.Kind.INSECTS, settled_at=None)
    queue = [unit.id for unit in units if unit.stage == Stage.QUEUE]
    held: dict[UUID, tuple[str, ...]] = {}
    for hold in Hold.objects.filter(unit__in=queue, lifted_at=None, kind__in=Hold.BY_HAND):
        held[hold.unit_id] = (*held.get(hold.unit_id, ()), _hold_words(hold))
    video = Unit.objects.filter(pk__in=queue, services__asks_video=True)
    quotes = QuoteVersion.objects.filter(unit__in=queue)
    approved = quotes.filter(state=QuoteVersion.State.APPROVED).values_list("unit_id", "within_limit")
    sent = quotes.filter(state=QuoteVersion.State.SENT)
    return _Asked(
        infested=frozenset(infested.values_list("unit_id", flat=True)),
        held=held,
        wants_video=frozenset(video.values_list("pk", flat=True)),
        approved_within_limit=dict(approved),
        quote_waiting=frozenset(sent.values_list("unit_id", flat=True)),
        deposit_due=_deposits(queue),
    )


def _deposits(unit_ids: Sequence[UUID]) -> dict[UUID, str]:
    """Return what is open of the deposits that these units wait for, as amounts in words. One query."""
    asked = open_requests(unit_ids)
    locale = profile().locale if asked else ""
    return {each.unit_id: money.show(each.left_minor, each.currency, locale) for each in asked}


def _facts_of(unit: Unit, asked: _Asked) -> Facts:
    stage = unit.stage
    return Facts(
        stage=stage,
        visit=unit.visit,
        own=unit.own,
        by_mail=unit.by_mail,
        opened=unit.opened,
        diagnosed=unit.diagnosed,
        ending=unit.ending,
        placed=_place_for(unit, asked) is not None,
        insects_loose=unit.id in asked.infested and not _sealed_in(unit, asked),
        comeback_undecided=unit.earlier_unit_id is not None and unit.free_of_charge is None,
        **(_intake(unit) if stage == Stage.INTAKE else {}),
        **(_queue(unit, asked) if stage == Stage.QUEUE else {}),
        **(_bench(unit) if stage == Stage.BENCH else {}),
        **(_testing(unit) if stage == Stage.TESTING else {}),
        **(_pickup(unit) if stage == Stage.PICKUP else {}),
    )


def _place_for(unit: Unit, asked: _Asked) -> Place | None:
    """Return where the unit lies, or at intake where it would be put when it is taken in."""
    if unit.place or unit.stage != Stage.INTAKE:
        return unit.place
    return free_place(kinds=[Place.Kind.SEALED] if unit.id in asked.infested else [Place.Kind.SHELF, Place.Kind.BOX])


def _sealed_in(unit: Unit, asked: _Asked) -> bool:
    """Tell whether the insects in a unit cannot get out: only before it is to be opened, and in a sealed place."""
    place = _place_for(unit, asked)
    return place is not None and place.kind == Place.Kind.SEALED and unit.stage == Stage.INTAKE


def _intake(unit: Unit) -> dict[str, Any]:
    answered = set(Consent.objects.filter(unit=unit).values_list("kind", flat=True))
    missing = tuple(str(kind.label) for kind in Consent.Kind if kind not in answered)
    return {"consents_missing": missing}


def work_clearance(unit: Unit) -> str:
    """Return what allows work on the unit: own, free (a comeback), quote, limit, or an empty string."""
    return _free(unit) or cleared(unit.id)


def _free(unit: Unit) -> str:
    """Return what allows work without anybody's approval."""
    return "own" if unit.own else "free" if unit.free_of_charge else ""


def services_agreed(unit: Unit) -> list[Service]:
    """Return what is to be done: the services approved, or those wished for where no quote is needed."""
    quote = approved(unit.id)
    if quote is None:
        return list(unit.services.all())
    taken = {line.service_id for line in quote.lines.all() if line.taken and line.service_id}
    return list(Service.objects.filter(pk__in=taken))


def findings_agreed(unit: Unit) -> list[Finding]:
    """Return the findings to be mended: those that cost nothing more, and those that the customer approved."""
    open_ones = Finding.objects.filter(unit=unit, settled_at=None)
    quote = approved(unit.id)
    taken = {line.finding_id for line in quote.lines.all() if line.taken and line.finding_id} if quote else set()
    free = bool(_free(unit))
    return [f for f in open_ones if f.repair == Finding.Repair.NOW or f.id in taken or (free and f.repair)]


def _queue(unit: Unit, asked: _Asked) -> dict[str, Any]:
    within_limit = asked.approved_within_limit.get(unit.id)
    quoted = "" if within_limit is None else "limit" if within_limit else "quote"
    missing = tuple(name for field, name in _VIDEO_QUESTIONS.items() if not getattr(unit, field))
    return {
        "holds": asked.held.get(unit.id, ()),
        "diagnosis_agreed": unit.agreed != Unit.Agreed.NOTHING,
        "cleared": _free(unit) or quoted,
        "quote_waiting": unit.id in asked.quote_waiting,
        "deposit_due": asked.deposit_due.get(unit.id, ""),
        "video_answers_missing": missing if unit.id in asked.wants_video else (),
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
        "fasteners_missing": tuple(f"{group.missing} from {group.where}" for group in groups),
        "open_missing": readings.missing,
        "open_failed": readings.failed,
        "open_undecided": readings.undecided,
    }


def _testing(unit: Unit) -> dict[str, Any]:
    worked = unit.visit == "work"
    readings = standing(unit, Phase.CLOSED) if worked else _NOTHING
    return {
        "agreed_not_done": _agreed_not_done(unit) if worked else (),
        "closed_missing": readings.missing,
        "closed_failed": readings.failed,
        "closed_undecided": readings.undecided,
    }


def _agreed_not_done(unit: Unit) -> tuple[str, ...]:
    """Name the agreed services of which no step was ticked: approved when the unit had left the bench already."""
    done = set(JobStep.objects.filter(unit=unit).exclude(done_at=None).values_list("service_id", flat=True))
    missing = [service for service in services_agreed(unit) if service.id not in done]
    undone = [service.name for service in missing if _is_undone(unit, service)]
    return (*undone, *(str(finding.get_kind_display()) for finding in findings_agreed(unit)))


def _is_undone(unit: Unit, service: Service) -> bool:
    """Tell whether a service of which no step was ticked has work left: not when its parts were fitted for another."""
    spots = spots_of(unit.edition) if unit.edition and service.selects else ()
    wanted = {spot.designator for spot in selected(spots, service.selects, variant=unit.variant)}
    if not wanted:
        return bool(service.steps)
    fitted = JobStep.objects.filter(unit=unit, code__in=FITTING, done_at__isnull=False).values_list("refs", flat=True)
    return not wanted <= {ref for refs in fitted for ref in refs}


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


def offers_in_queue(units: Sequence[Unit]) -> list[list[Offer]]:
    """Return for each of several units in the queue what may happen to it next. Six queries, however many units."""
    asked = _ask(units)
    return [offers(_facts_of(unit, asked)) for unit in units]


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
