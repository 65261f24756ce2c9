"""What leaves as a file: labels, receipts, pictures."""

from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from shop.books.receipts import receipt_pdf
from shop.core.actor import Actor
from shop.core.files import only_to_look_at
from shop.core.models import Photo
from shop.core.photos import stored_bytes
from shop.floor.mats import mat_pdf
from shop.people.queries import places, staff
from shop.screens.http import staff_page
from shop.units import queries
from shop.units.label_draw import FORMS, Paper, drawn
from shop.units.labels import Tag, tags_of_badges, tags_of_places, tags_of_unit


def _labels(request: HttpRequest, tags: list[Tag], name: str) -> HttpResponse:
    """Return tags in the form that was asked for; a start that is no number is the first place."""
    asked, start = request.GET.get("as", "pdf").lower(), request.GET.get("start", "1")
    form = asked if asked in FORMS else "pdf"
    first = int(start) if start.isascii() and start.isdigit() and len(start) < 4 else 1
    content, kind = drawn(tags, form, start=max(first, 1))
    return only_to_look_at(content, kind, f"{name}.{kind.rpartition('/')[2].partition('+')[0]}")


@require_safe
@staff_page("units.see")
def unit_labels(request: HttpRequest, _actor: Actor, number: int) -> HttpResponse:
    """Return the labels of all bags of a unit."""
    unit = queries.by_number(number)
    return _labels(request, tags_of_unit(unit.id), f"tags-{unit}")


@require_safe
@staff_page("units.see")
def mat(request: HttpRequest, _actor: Actor, number: int, kind: str) -> HttpResponse:
    """Return a layout mat of a unit: parts or fasteners, as a boxed list or at true scale, on A4 or Letter."""
    unit = queries.by_number(number)
    paper = Paper.LETTER if request.GET.get("as", "").lower() == Paper.LETTER else Paper.A4
    return only_to_look_at(mat_pdf(unit, kind, paper), "application/pdf", f"{kind}-{unit}.pdf")


@require_safe
@staff_page("units.see")
def shop_labels(request: HttpRequest, _actor: Actor) -> HttpResponse:
    """Return the labels of every place and every badge."""
    tags = [*tags_of_places(places()), *tags_of_badges(staff())]
    return _labels(request, tags, "shop")


@require_safe
@staff_page("books.see")
def receipt(_request: HttpRequest, _actor: Actor, number: int) -> HttpResponse:
    """Return a unit's receipt."""
    unit = queries.by_number(number)
    return only_to_look_at(receipt_pdf(unit), "application/pdf", f"receipt-{unit}.pdf")


@require_safe
@staff_page("core.see_photo")
def photo(_request: HttpRequest, _actor: Actor, photo_id: UUID) -> HttpResponse:
    """Return a picture."""
    found = Photo.objects.filter(pk=photo_id).first()
    content = stored_bytes(found) if found else None
    if found is None or content is None:
        raise Http404
    return only_to_look_at(content, "image/jpeg", f"{found.sha256[:12]}.jpg", keep=True)
