"""What stands on the labels of bags, places and badges, and the QR code that takes a scan to them.

A label is printed once and lives for years, so it carries only what stays true: an address, a code, a number, a model
and the initials of the owner; never a stage, a date or a name in full.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

import qrcode
from django.conf import settings
from django.db.models import Prefetch, QuerySet
from django.utils.translation import gettext as _
from qrcode.constants import ERROR_CORRECT_H

from shop.boards.models import DeviceModel
from shop.core.reasons import Reason, Refused
from shop.core.rows import no_such
from shop.core.tagcode import printed
from shop.people.models import Place, User
from shop.units.models import Bag, Finding
from shop.units.scanning import LETTERS, Kind

QUIET_MODULES = 4  # ISO/IEC 18004 asks for four modules of white around a symbol
_LONGEST_ADDRESS = 177  # bytes of a symbol of version 13, level H: the finest that a label has room for


@dataclass(frozen=True, slots=True)
class Tag:
    """The words of one label.

    address is what the QR code says; code is printed with its check symbol; large is read across the bench: the last
    three digits of a unit's number, the name of a place or a person. title is the model, owner the initials.
    """

    address: str
    code: str
    large: str
    title: str = ""
    owner: str = ""
    kind: str = ""
    contents: str = ""
    cautions: tuple[str, ...] = ()


def address_of(kind: Kind, code: str) -> str:
    """Return the address that a label's QR code says: the shop's, a letter for the kind, the code unchecked."""
    return f"{settings.SHOP_ADDRESS}/{LETTERS[kind]}/{code}"


def tags_of_bags(bags: QuerySet[Bag]) -> list[Tag]:
    """Return the labels of bags, in the queryset's order. Two queries, however many bags."""
    risky = Finding.objects.filter(kind__in=[Finding.Kind.INSECTS, Finding.Kind.LIQUID]).order_by("kind")
    company = bags.select_related("unit__model", "unit__customer").prefetch_related(
        Prefetch("unit__findings", risky, to_attr="risky_findings")
    )
    return [_tag_of(bag) for bag in company]


def tag_of_bag(bag_id: UUID) -> Tag:
    """Return the label of one bag. Raises Missing."""
    tags = tags_of_bags(Bag.objects.filter(pk=bag_id))
    if not tags:
        raise no_such(Bag, bag_id)
    return tags[0]


def tags_of_unit(unit_id: UUID) -> list[Tag]:
    """Return the labels of all bags of a unit, oldest first: its own tag, then the others as they were made."""
    return tags_of_bags(Bag.objects.filter(unit_id=unit_id).order_by("created_at"))


def tags_of_places(places: Sequence[Place] | QuerySet[Place]) -> list[Tag]:
    """Return the labels of benches, shelves and boxes."""
    return [
        Tag(
            address=address_of(Kind.PLACE, place.code),
            code=printed(place.code),
            large=place.name,
            kind=place.get_kind_display(),
            contents=", ".join(str(thing) for thing in place.equipment),
        )
        for place in places
    ]


def tags_of_badges(people: Sequence[User] | QuerySet[User]) -> list[Tag]:
    """Return the labels of staff badges."""
    return [
        Tag(
            address=address_of(Kind.BADGE, person.badge_code),
            code=printed(person.badge_code),
            large=person.name,
            kind=person.get_role_display(),
        )
        for person in people
    ]


def qr_modules(address: str) -> list[list[bool]]:
    """Return the QR symbol of an address, level H, as rows of modules (dark is True), quiet zone included.

    Raises Refused: `label_address_not_ascii` (decoders disagree on other bytes), `label_address_too_long`.
    """
    if odd := next((sign for sign in address if not "!" <= sign <= "~"), ""):
        raise Refused(Reason("label_address_not_ascii", {"sign": odd}))
    if len(address) > _LONGEST_ADDRESS:
        raise Refused(Reason("label_address_too_long", {"length": len(address), "side_mm": 31}))
    symbol = qrcode.QRCode(error_correction=ERROR_CORRECT_H, border=QUIET_MODULES)
    symbol.add_data(address, optimize=0)
    symbol.make(fit=True)
    return [[bool(module) for module in row] for row in symbol.get_matrix()]


def _tag_of(bag: Bag) -> Tag:
    unit = bag.unit
    return Tag(
        address=address_of(Kind.BAG, bag.code),
        code=bag.printed_code,
        large=unit.band_digits,
        title=str(unit.model),
        owner=unit.customer.initials if unit.customer else _("shop's own"),
        kind=bag.get_kind_display(),
        contents=bag.contents,
        cautions=_cautions(bag, unit.model),
    )


def _cautions(bag: Bag, model: DeviceModel) -> tuple[str, ...]:
    """Return the warnings that hold for as long as the label does, those about the case on the unit's tag only."""
    found = {finding.kind for finding in getattr(bag.unit, "risky_findings", ())}
    whole = bag.kind == Bag.Kind.UNIT
    rules = (
        (Finding.Kind.INSECTS in found, _("insects: keep sealed")),
        (whole and Finding.Kind.LIQUID in found, _("liquid: no power")),
        (whole and model.tube_inside, _("picture tube: lethal charge")),
        (whole and model.mains_inside, _("mains inside")),
        (whole and model.battery_inside, _("cell inside")),
    )
    return tuple(words for holds, words in rules if holds)
