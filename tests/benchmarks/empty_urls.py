"""The shop's addresses with one view more, that does nothing: what a page is measured against."""

from django.http import HttpRequest, HttpResponse
from django.urls import include, path


def empty(_request: HttpRequest) -> HttpResponse:
    """Answer."""
    return HttpResponse("")


urlpatterns = [path("empty", empty), path("", include("shop.urls"))]
