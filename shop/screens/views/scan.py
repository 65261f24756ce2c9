"""Scanning: a typed or scanned code, a photo, or the page's own camera, and what makes sense then."""

from typing import BinaryIO, cast
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect, JsonResponse
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from shop.core.actor import Actor
from shop.core.reasons import Reason, Refused, sentence
from shop.floor.scans import found_place, found_unit
from shop.people.models import Place, User
from shop.people.queries import benches
from shop.screens.http import SEE_OTHER, page, staff_page, tied_bench
from shop.screens.wording import shown_offers
from shop.units import queries
from shop.units.models import Bag
from shop.units.scan_queries import resolve
from shop.units.scanning import Kind, Scan, read_picture, read_scan

_MACHINE = "machine"


@require_safe
@staff_page("units.see")
def scan(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Show what a code names, or the ways to scan when none was given."""
    text = request.GET.get("text", "").strip()
    if not text:
        return page(request, "screens/scan.html")
    try:
        read = read_scan(text[:500], by_machine=request.GET.get("by") == _MACHINE)
        return _show(request, actor, read, to_sheet=text.endswith("?sheet"))
    except Refused as refused:
        return page(request, "screens/scan.html", {"text": text}, reasons=refused.reasons)


@require_safe
@staff_page("units.see")
def label(request: HttpRequest, actor: Actor, letter: str, code: str) -> HttpResponse:
    """Show what a printed label names, as a phone's own camera opens it."""
    kind = {"t": Kind.BAG, "p": Kind.PLACE, "b": Kind.BADGE}[letter]
    try:
        return _show(request, actor, Scan(kind, code.upper()), to_sheet="sheet" in request.GET)
    except Refused as refused:
        return page(request, "screens/scan.html", reasons=refused.reasons, status=404)


def _show(request: HttpRequest, actor: Actor, read: Scan, *, to_sheet: bool) -> HttpResponse:
    """Show what a code names; a mat's code opens the job sheet that it belongs to."""
    found = resolve(read)
    if isinstance(found, Bag) and to_sheet:
        return HttpResponseRedirect(f"{reverse('screens:unit', args=[found.unit.number])}#sheet")
    if isinstance(found, Bag):
        return _show_bag(request, actor, found)
    if isinstance(found, Place):
        context = {"found": found_place(actor=actor, place=found)}
        return page(request, "screens/place.html", context)
    return _show_person(request, found)


def _show_bag(request: HttpRequest, actor: Actor, bag: Bag) -> HttpResponse:
    bench = tied_bench(request)
    unit = queries.one(bag.unit_id)
    found = found_unit(actor=actor, unit=unit, bag=bag, bench=bench)
    if bench is None and bag.kind == Bag.Kind.UNIT:
        return HttpResponseRedirect(reverse("screens:unit", args=[unit.number]))
    offers = shown_offers(found.offers)
    context = {"found": found, "unit": unit, "bag": bag, "bench": bench, "offers": offers, "benches": benches()}
    return page(request, "screens/scanned.html", context)


def _show_person(request: HttpRequest, person: User) -> HttpResponse:
    context = {"person": person, "units": queries.present_units().filter(technician=person)}
    return page(request, "screens/person.html", context)


@require_POST
@staff_page("units.see")
def picture(request: HttpRequest, _actor: Actor) -> HttpResponse:
    """Read a photo, or a frame of the page's camera, and go to what it names.

    A frame (X-Frame) is answered in JSON: where to go, or 422 while nothing can be read in it yet.
    """
    frame = "X-Frame" in request.headers
    upload = request.FILES.get("photo")
    try:
        if upload is None or upload.file is None:
            raise Refused(Reason("photo_unreadable", {}, "photo"))
        text = read_picture(cast(BinaryIO, upload.file))
    except Refused as refused:
        if frame:
            return JsonResponse({"detail": sentence(refused.reasons[0])}, status=422)
        return page(request, "screens/scan.html", reasons=refused.reasons)
    there = f"{reverse('screens:scan')}?{_query(text)}"
    return JsonResponse({"go": there}) if frame else HttpResponseRedirect(there, status=SEE_OTHER)


def _query(text: str) -> str:
    return urlencode({"text": text, "by": _MACHINE})
