"""One operation of the API: read, ask an action, render. One declaration runs it and describes it in the schema."""

import functools
import json
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any

from django.http import HttpResponse
from django.urls import reverse
from rest_framework.exceptions import NotAuthenticated, NotFound
from rest_framework.negotiation import DefaultContentNegotiation
from rest_framework.parsers import MultiPartParser
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.serializers import BaseSerializer
from rest_framework.views import APIView

from api.auth import Caller, DeviceTokenAuthentication, address_of
from api.describe import PageQuery, Spec, documented
from api.http import REPLAYED, StrictJSONParser, etag, fingerprint_of, key_of, refuse_large, version_seen
from api.paging import Page, cut, link_to_next
from shop.core.actor import Actor, Role, may, permit
from shop.core.idempotency import Answer, once
from shop.units.models import CustomerLink


class JsonOnly(DefaultContentNegotiation):
    """Every answer has one form, so what the caller would rather have is not asked."""

    def select_renderer(self, request: Request, renderers: Any, format_suffix: str | None = None) -> Any:  # noqa: ARG002
        """Return the first renderer."""
        return renderers[0], renderers[0].media_type


class Endpoint(APIView):
    """Base of every address. Who may do what is asked by each operation's verb, see `operation`."""

    authentication_classes = [DeviceTokenAuthentication]
    permission_classes = []
    parser_classes = [StrictJSONParser]
    content_negotiation_class = JsonOnly
    metadata_class = None


class Nowhere(Endpoint):
    """Every address that is none, an id that is no UUID among them: a problem as anywhere else, whatever is asked."""

    authentication_classes = []

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:  # noqa: ARG002
        """Raise NotFound before a method is looked for."""
        raise NotFound


class UploadEndpoint(Endpoint):
    """An address that takes a picture as a form."""

    parser_classes = [MultiPartParser]


@dataclass(frozen=True, slots=True)
class Call:
    """One request as an operation sees it. version is what If-Match named, where it is asked for."""

    actor: Actor
    data: dict[str, Any] = field(default_factory=dict)
    query: dict[str, Any] = field(default_factory=dict)
    version: int = 0
    link: CustomerLink | None = None


Method = Callable[..., Any]


def operation(name: str, *, verb: str, **declared: Any) -> Callable[[Method], Callable[..., HttpResponse]]:
    """Make a method of an `Endpoint` an operation: it gets a `Call` and the path's ids, and returns what to render.

    declared is what `Spec` holds.
    """
    if declared.get("page"):
        declared.setdefault("query", PageQuery)
    spec = Spec(name=name, verb=verb, **declared)

    def decorate(method: Method) -> Callable[..., HttpResponse]:
        @functools.wraps(method)
        def run(view: Endpoint, request: Request, **path: Any) -> HttpResponse:
            return _Run(spec, functools.partial(method, view, **path), request).answer()

        run.spec = spec  # type: ignore[attr-defined]
        return documented(run, spec, method.__name__)

    return decorate


class _Run:
    """One operation on its way from request to response."""

    def __init__(self, spec: Spec, method: Callable[[Call], Any], request: Request) -> None:
        self.spec, self.method, self.request = spec, method, request
        # What this very request made, before secrets were taken out for keeping; None while it did nothing.
        self.fresh: dict[str, Any] | None = None

    def answer(self) -> HttpResponse:
        """Return the response. A request with a key is performed once and answered alike each time."""
        key = key_of(self.request) if self.request.method == "POST" else ""
        call = Call(actor=replace(_actor(self.request), client_key=key), link=_link(self.request))
        _permit(self.spec, call.actor)
        refuse_large(self.request, upload=self.spec.upload)
        if self.spec.binary:
            found = self.method(self._read(call))
            return found if isinstance(found, HttpResponse) else HttpResponse(found, content_type=self.spec.binary[0])
        if not key:
            self._perform(call)
            return self._respond(self.spec.status, self.fresh or {})
        mark = fingerprint_of(self.request, upload=self.spec.upload)
        kept = once(actor=call.actor, key=key, fingerprint=mark, perform=lambda: self._perform(call))
        response = self._respond(kept.status, json.loads(kept.body) if self.fresh is None else self.fresh)
        if self.fresh is None:
            response[REPLAYED] = "true"
        return response

    def _perform(self, call: Call) -> Answer:
        call = self._read(call)
        self.fresh = self._render(self.method(call), call)
        kept = {name: None if name in self.spec.secret else value for name, value in self.fresh.items()}
        return Answer(self.spec.status, json.dumps(kept))

    def _read(self, call: Call) -> Call:
        """Return the call with its version, its body and its query read and checked."""
        spec = self.spec
        return replace(
            call,
            version=version_seen(self.request) if spec.if_match else 0,
            data=_checked(spec.takes(data=self.request.data)) if spec.takes else {},
            query=_checked(spec.query(data=self.request.GET.dict())) if spec.query else {},
        )

    def _render(self, found: Any, call: Call) -> dict[str, Any]:
        """Return the answer's body as plain JSON values."""
        spec = self.spec
        if spec.gives is None:
            return {}
        if not (spec.page or spec.many):
            return _plain(spec.gives(found).data)
        page = cut(found, spec.page, **_place(call)) if spec.page else Page(list(found))
        return _plain({"items": spec.gives(page.items, many=True).data, "next": page.next})

    def _respond(self, status: int, body: dict[str, Any]) -> Response:
        response = Response(body if self.spec.gives else None, status=status)
        if "version" in body:
            response["ETag"] = etag(body["version"])
        if self.spec.location:
            response["Location"] = reverse(self.spec.location, args=[body["id"]])
        if body.get("next") and self.spec.page:
            response["Link"] = link_to_next(self.request, body["next"])
        return response


def _place(call: Call) -> dict[str, Any]:
    return {"after": call.query["after"], "limit": call.query["limit"]}


def _actor(request: Request) -> Actor:
    if isinstance(request.user, Caller):
        return request.user.actor
    return Actor(role=Role.STRANGER, address=address_of(request))


def _link(request: Request) -> CustomerLink | None:
    return request.user.link if isinstance(request.user, Caller) else None


def _permit(spec: Spec, actor: Actor) -> None:
    """Let the actor pass, ask a stranger who they are, or refuse."""
    if actor.role == Role.STRANGER and not may(actor, spec.verb):
        raise NotAuthenticated
    permit(actor, spec.verb)


def _checked(serializer: BaseSerializer[Any]) -> dict[str, Any]:
    serializer.is_valid(raise_exception=True)
    return dict(serializer.validated_data)


def _plain(data: Any) -> dict[str, Any]:
    plain: dict[str, Any] = json.loads(JSONRenderer().render(data))
    return plain
