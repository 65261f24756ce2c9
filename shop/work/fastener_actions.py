"""The fasteners' account: taken out, put back, written off, by place and length."""

from uuid import UUID

from django.db import transaction
from django.utils.translation import gettext as _

from shop.core import trail
from shop.core.actor import Actor, permit
from shop.core.reasons import Reason, Refused
from shop.core.rows import existing, no_such
from shop.core.text import whole, words
from shop.units.models import Unit
from shop.work.guards import open_to_work
from shop.work.models import FastenerGroup
from shop.work.queries import known_screws

# More than any case holds; a slip of the finger is caught before it is stored.
MOST_FASTENERS = 500


def fasteners_out(*, actor: Actor, unit_id: UUID, where: str, kind: str = "", count: int) -> FastenerGroup:
    """Record that so many fasteners of one kind came out of one place.

    Those that were back in that place come out again first, then those that were written off; the rest are new to the
    account. Raises Refused:
    `not_open_to_work`, `blank`, `too_long`, `out_of_range`.
    """
    permit(actor, "work.do")
    where = words(where, label=_("The place"), field="where", limit=60)
    kind = words(kind, label=_("The kind"), field="kind", limit=60, required=False)
    with transaction.atomic():
        unit = open_to_work(unit_id)
        group = FastenerGroup.objects.filter(unit=unit, where=where, kind=kind).first()
        group = group or FastenerGroup(unit=unit, where=where, kind=kind, out=0, back=0)
        again = min(count, group.back)
        found = min(count - again, group.written_off)  # what was given up for lost has turned up
        _refuse_odd_count(count, MOST_FASTENERS - group.out + group.back + group.written_off)
        group.back, group.written_off = group.back - again, group.written_off - found
        group.out += count - again - found
        group.save()
        trail.write(unit, actor, "fasteners_out", facts=_account(group, count))
    return group


def group_out(*, actor: Actor, unit_id: UUID, label: str, missing: int = 0) -> FastenerGroup:
    """Record that a group of fasteners that the library knows came out, save those that were missing on arrival.

    A group that is out already stays as it is; one that went back comes out again. Raises Refused:
    `not_open_to_work`, `out_of_range`; Missing when the library knows no such group for this unit.
    """
    permit(actor, "work.do")
    with transaction.atomic():
        unit = open_to_work(unit_id)
        screw = next((screw for screw in known_screws(unit) if screw.label == label), None)
        if screw is None:
            raise no_such(FastenerGroup, label[:12])
        whole(missing, low=0, high=screw.count, label=_("Missing on arrival"), field="missing")
        group = FastenerGroup.objects.filter(unit=unit, label=label).first()
        if group is None:
            group = FastenerGroup(unit=unit, label=label, where=screw.where, kind=screw.says, length_mm=screw.length_mm)
            group.missing_on_arrival, group.out, group.warning = missing, screw.count - missing, screw.warning
        elif group.missing or not group.back:
            return group
        group.back = 0
        group.save()
        facts = _account(group, group.out) | {"missing_on_arrival": group.missing_on_arrival}
        trail.write(unit, actor, "fasteners_out", facts=facts)
    return group


def fasteners_back(
    *, actor: Actor, unit_id: UUID, group_id: UUID, count: int | None = None, held_id: UUID | None = None
) -> FastenerGroup:
    """Record that so many of a group (None: all that are out) went back where they came from, never more than are out.

    held_id is the group that the hand took them from, when that was said: a longer one is refused with what it would
    damage, another kind is refused too. Raises Refused: `not_open_to_work`, `out_of_range`, `fasteners_too_many`,
    `fastener_too_long`, `fastener_of_other_place`; Missing for an unknown group.
    """
    permit(actor, "work.do")
    with transaction.atomic():
        unit = open_to_work(unit_id)
        group = _group(unit, group_id)
        if held_id and held_id != group.pk:
            _refuse_wrong_one(_group(unit, held_id), group)
        count = group.missing if count is None else count
        _refuse_odd_count(count, MOST_FASTENERS)
        _refuse_more_than_missing(group, count)
        group.back += count
        group.save(update_fields=["back"])
        trail.write(unit, actor, "fasteners_back", facts=_account(group, count))
    return group


def write_off_fasteners(*, actor: Actor, unit_id: UUID, group_id: UUID, count: int, reason: str) -> FastenerGroup:
    """Write off so many fasteners of a group that stay away, with the reason; the account then balances without them.

    One that turns up later is put back by counting it out again. Raises Refused: `not_open_to_work`, `out_of_range`,
    `fasteners_too_many`, `blank`; Missing for an unknown group.
    """
    permit(actor, "work.write_off")
    said = words(reason, label=_("The reason"), field="reason", limit=500)
    with transaction.atomic():
        unit = open_to_work(unit_id)
        group = _group(unit, group_id)
        _refuse_odd_count(count, MOST_FASTENERS)
        _refuse_more_than_missing(group, count)
        group.written_off += count
        group.save(update_fields=["written_off"])
        trail.write(unit, actor, "fasteners_written_off", facts=_account(group, count), note=said)
    return group


def _group(unit: Unit, group_id: UUID) -> FastenerGroup:
    return existing(FastenerGroup.objects.filter(unit=unit), group_id)


def _refuse_wrong_one(held: FastenerGroup, place: FastenerGroup) -> None:
    """Refuse a fastener where another belongs; equal ones may change places."""
    facts = {"held": held.said, "place": place.said, "damage": place.warning or _("what lies behind it")}
    if held.length_mm and place.length_mm and held.length_mm > place.length_mm:
        raise Refused(Reason("fastener_too_long", facts, "held"))
    if held.kind != place.kind:
        raise Refused(Reason("fastener_of_other_place", facts, "held"))


def _refuse_more_than_missing(group: FastenerGroup, count: int) -> None:
    if count > group.missing:
        away = group.back + group.written_off
        facts = {"where": group.where, "count": count, "out": group.out, "back": away, "left": group.missing}
        raise Refused(Reason("fasteners_too_many", facts, "count"))


def _refuse_odd_count(count: int, most: int) -> None:
    if not 1 <= count <= most:
        raise Refused(Reason("out_of_range", {"label": _("The count"), "low": 1, "high": most}, "count"))


def _account(group: FastenerGroup, count: int) -> dict[str, object]:
    return {"group": group.pk, "count": count, "out": group.out, "back": group.back, "off": group.written_off}
