"""What an operation declares of itself, and how that reads in the OpenAPI schema."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext_lazy as _
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema, inline_serializer
from rest_framework import serializers

from api.fields import Given, Taken
from api.http import KEY_LIMIT, REPLAYED
from api.paging import DEFAULT_LIMIT, LARGEST_LIMIT, Order
from api.problems import MEDIA_TYPE, title_of
from shop.core.permits import PERMITS


class PageQuery(Taken):
    """Which page of a list: the cursor after which it begins, and how many rows at most."""

    after = serializers.CharField(max_length=500, required=False, allow_blank=True, default="")
    limit = serializers.IntegerField(min_value=1, max_value=LARGEST_LIMIT, required=False, default=DEFAULT_LIMIT)


class ReasonGiven(Given):
    """One reason: a stable code, the field it concerns (dotted, empty for none), and a sentence for people."""

    code = serializers.CharField()
    field = serializers.CharField()
    detail = serializers.CharField()


class Problem(Given):
    """What went wrong (RFC 9457)."""

    type = serializers.CharField()
    title = serializers.CharField()
    status = serializers.IntegerField()
    detail = serializers.CharField()
    instance = serializers.CharField()
    reasons = ReasonGiven(many=True)


class LastChange(Given):
    """The newest row of a trail: what happened, from and to where, by which role, and when."""

    what = serializers.CharField()
    before = serializers.CharField()
    after = serializers.CharField()
    by_role = serializers.CharField()
    at = serializers.DateTimeField()


class Changed(Given):
    """What a stale request did not know."""

    version = serializers.IntegerField(allow_null=True)
    last = LastChange(allow_null=True)


class StaleProblem(Problem):
    """An old version was named; `changed` says what has happened since."""

    changed = Changed()


@dataclass(frozen=True, slots=True, kw_only=True)
class Spec:
    """What an operation declares. verb is asked of the permits before anything is read.

    takes, query and gives are serializers; page gives a queryset in pages by key, many a short list whole; location
    is the name of the address of what was made; secret names members of the answer that a repeat does not get again;
    binary lists the media types of an answer that is no JSON; upload says that a form with a file is taken.
    """

    name: str
    verb: str
    takes: type[serializers.BaseSerializer[Any]] | None = None
    query: type[serializers.BaseSerializer[Any]] | None = None
    gives: type[serializers.BaseSerializer[Any]] | None = None
    status: int = 200
    page: Order | None = None
    many: bool = False
    if_match: bool = False
    location: str = ""
    secret: tuple[str, ...] = ()
    binary: tuple[str, ...] = ()
    upload: bool = False


def documented(run: Callable[..., Any], spec: Spec, method: str) -> Callable[..., Any]:
    """Return an operation with everything about it said for the schema. method is post, get or patch."""
    stranger = "stranger" in PERMITS[spec.verb]
    request: Any = {"multipart/form-data": spec.takes} if spec.upload else spec.takes
    describe: Callable[..., Any] = extend_schema(
        operation_id=spec.name,
        summary=(run.__doc__ or "").splitlines()[0].rstrip("."),
        request=request,
        parameters=_parameters(spec, method),
        responses={**_answers(spec), **_problems(spec, method, stranger=stranger)},
        auth=[{}, {"deviceToken": []}] if stranger else None,  # type: ignore[list-item]
    )
    return describe(run)  # type: ignore[no-any-return]


def _parameters(spec: Spec, method: str) -> list[Any]:
    found: list[Any] = [spec.query] if spec.query else []
    if method == "post":
        said = _("Makes a repeat of this request harmless: it gets the first answer again.")
        found.append(_header("Idempotency-Key", said, pattern=rf"^[!-~]{{1,{KEY_LIMIT}}}$"))
        found.append(_header(REPLAYED, _("true when this is the answer of an earlier request."), spec.status))
    if spec.if_match:
        found.append(_header("If-Match", _("The ETag that was seen."), required=True, pattern=r'^"[0-9]{1,9}"$'))
    if spec.gives and "version" in spec.gives().fields:  # type: ignore[attr-defined]
        found.append(_header("ETag", _("The version, for If-Match."), spec.status))
    if spec.page:
        found.append(_header("Link", _("Leads to the next page (rel=next), when there is one."), spec.status))
    if spec.location:
        found.append(_header("Location", _("The address of what was made."), spec.status))
    return found


def _header(
    name: str, said: object, answer: int = 0, *, required: bool = False, pattern: str | None = None
) -> OpenApiParameter:
    return OpenApiParameter(
        name,
        OpenApiTypes.STR,
        OpenApiParameter.HEADER,
        description=str(said),
        required=required,
        pattern=pattern,
        response=[answer] if answer else False,
    )


def _answers(spec: Spec) -> dict[Any, Any]:
    if spec.binary:
        return {(spec.status, media): OpenApiTypes.BINARY for media in spec.binary}
    if spec.gives is None:
        return {spec.status: OpenApiResponse(description=str(_("Done.")))}
    if not (spec.page or spec.many):
        return {spec.status: spec.gives}
    return {spec.status: _page_of(spec.gives)}


# One page serializer for each sort of row, since the schema knows them by identity.
_PAGES: dict[str, Any] = {}


def _page_of(gives: type[serializers.BaseSerializer[Any]]) -> Any:
    name = f"{gives.__name__}Page"
    if name not in _PAGES:
        rows = gives(many=True, read_only=True)
        cursor = serializers.CharField(allow_null=True, read_only=True)
        _PAGES[name] = inline_serializer(name, {"items": rows, "next": cursor})
    return _PAGES[name]


def _problems(spec: Spec, method: str, *, stranger: bool) -> dict[Any, Any]:
    """Return the problems that an operation can answer with."""
    writes = method != "get"
    possible = {
        400: writes or spec.page is not None,
        401: True,
        403: not stranger,
        404: True,
        409: writes or bool(spec.binary),
        412: spec.if_match,
        413: writes,
        415: writes,
        422: writes or spec.query is not None,
        428: spec.if_match,
        429: True,
    }
    return {
        (status, MEDIA_TYPE): OpenApiResponse(StaleProblem if status == 412 else Problem, description=title_of(status))
        for status, can in possible.items()
        if can
    }


def finish(result: dict[str, Any], generator: object, request: object, public: bool) -> dict[str, Any]:  # noqa: ARG001
    """Say in the schema that requests with unknown fields are refused. A hook of drf-spectacular."""
    for name, component in result.get("components", {}).get("schemas", {}).items():
        if name.endswith("Request") and component.get("type") == "object":
            component["additionalProperties"] = False
    return result
