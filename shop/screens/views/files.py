"""What leaves as a file: labels, receipts, pictures."""

from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from shop.books.receipts import receipt_pdf
from shop.core.actor import Actor
from shop.core.models import Photo
from shop.core.photos import path_of
from shop.people.queries import places, staff
from shop.screens.http import staff_page
from shop.units import queries
from shop.units.label_draw import Paper, sheet_pdf, tag_pdf, tag_png, tag_svg
from shop.units.labels import Tag, tags_of_badges, tags_of_places, tags_of_unit

# A file opens in a frame of its own, where nothing in it can run.
LOCKED_UP = "default-src 'none'; sandbox"


def _file(content: bytes | str, kind: str, name: str) -> HttpResponse:
    answer = HttpResponse(content, content_type=kind)
    answer["Content-Disposition"] = f'inline; filename="{name}"'
    answer["Content-Security-Policy"] = LOCKED_UP
    return answer


def _labels(request: HttpRequest, tags: list[Tag], name: str) -> HttpResponse:
    """Draw tags as asked: single labels, a sheet from a start position, or the first as a picture."""
    wanted = request.GET.get("as", "pdf").lower()
    if wanted == "png":
        return _file(tag_png(tags[0]), "image/png", f"{name}.png")
    if wanted == "svg":
        return _file(tag_svg(tags[0]), "image/svg+xml", f"{name}.svg")
    if wanted in [paper.value for paper in Paper]:
        start = request.GET.get("start", "1")
        first = int(start) if start.isascii() and start.isdigit() and len(start) < 4 else 1
        return _file(sheet_pdf(tags, Paper(wanted), start=max(first, 1)), "application/pdf", f"{name}.pdf")
    return _file(tag_pdf(tags), "application/pdf", f"{name}.pdf")


@require_safe
@staff_page("units.see")
def unit_labels(request: HttpRequest, _actor: Actor, number: int) -> HttpResponse:
    """Return the labels of all bags of a unit."""
    unit = queries.by_number(number)
    return _labels(request, tags_of_unit(unit.id), f"tags-{unit}")


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
    return _file(receipt_pdf(unit), "application/pdf", f"receipt-{unit}.pdf")


@require_safe
@staff_page("core.see_photo")
def photo(_request: HttpRequest, _actor: Actor, photo_id: UUID) -> HttpResponse:
    """Return a picture."""
    return picture_file(photo_id)


def picture_file(photo_id: UUID) -> HttpResponse:
    """Return a stored picture so that it can only be looked at. Raises Http404."""
    found = Photo.objects.filter(pk=photo_id).first()
    if found is None or not path_of(found.sha256).is_file():
        raise Http404
    answer = _file(path_of(found.sha256).read_bytes(), "image/jpeg", f"{found.sha256[:12]}.jpg")
    answer["Cache-Control"] = "private, max-age=86400"
    return answer
