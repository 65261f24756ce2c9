"""Errors as problem details (RFC 9457): a stable type for each reason, and a sentence that says what to do next."""

from collections.abc import Iterable, Iterator
from typing import Any

from django.conf import settings
from django.core.exceptions import PermissionDenied, RequestDataTooBig, SuspiciousOperation
from django.http import Http404
from django.utils.translation import gettext as _
from rest_framework import exceptions, status
from rest_framework.response import Response

from shop.core.idempotency import KeyReused
from shop.core.reasons import Missing, Reason, Refused, Stale, sentence

MEDIA_TYPE = "application/problem+json"
TYPES = "/api/v1/problems/"


class NotAnswerable(Exception):
    """A request that is wrong before any action is asked, with the status that HTTP has for it."""

    def __init__(self, http_status: int, reason: Reason) -> None:
        super().__init__(reason.code)
        self.status = http_status
        self.reason = reason


def title_of(http_status: int) -> str:
    """Return the short title of all problems with one HTTP status."""
    titles = {
        400: _("The request cannot be read"),
        401: _("Who asks is not known"),
        403: _("This is not permitted"),
        404: _("There is no such thing"),
        405: _("This cannot be done here"),
        409: _("This cannot be done now"),
        412: _("Somebody changed it in the meantime"),
        413: _("The request is too large"),
        415: _("This form of content is not taken"),
        422: _("Something in the request is not right"),
        428: _("Say which version you saw"),
        429: _("Too many requests"),
    }
    return titles.get(http_status, titles[400])


def problem(http_status: int, reasons: Iterable[dict[str, str]], instance: str) -> dict[str, Any]:
    """Return the members of one problem; the first reason names its type and detail."""
    listed = list(reasons)
    return {
        "type": f"{TYPES}{listed[0]['code']}",
        "title": title_of(http_status),
        "status": http_status,
        "detail": listed[0]["detail"],
        "instance": instance,
        "reasons": listed,
    }


def of_refusal(refusal: Refused, instance: str) -> dict[str, Any]:
    """Return the problem that an action's refusal is; of an old version it says the new one and what came last."""
    body = problem(status_of(refusal), (_worded(reason) for reason in refusal.reasons), instance)
    if isinstance(refusal, Stale):
        body["changed"] = {"version": refusal.reasons[0].facts.get("now"), "last": refusal.reasons[0].facts.get("last")}
    return body


def status_of(refusal: Refused) -> int:
    """Return the HTTP status of a refusal: what concerns a field is for the sender to mend (422), the rest waits."""
    if isinstance(refusal, Stale):
        return status.HTTP_412_PRECONDITION_FAILED
    if isinstance(refusal, KeyReused) or refusal.reasons[0].field:
        return status.HTTP_422_UNPROCESSABLE_ENTITY
    if isinstance(refusal, Missing):
        return status.HTTP_404_NOT_FOUND
    if refusal.code == "not_permitted":
        return status.HTTP_403_FORBIDDEN
    return status.HTTP_409_CONFLICT


def _worded(reason: Reason) -> dict[str, str]:
    return {"code": reason.code, "field": reason.field, "detail": sentence(reason)}


def handle(exc: Exception, context: dict[str, Any]) -> Response | None:
    """Turn an exception of a view into a problem; None for a slip of ours, which Django reports.

    This is DRF's EXCEPTION_HANDLER.
    """
    instance = str(context["request"].path) if context.get("request") is not None else ""
    headers: dict[str, str] = {}
    if isinstance(exc, Refused):
        body = of_refusal(exc, instance)
        if isinstance(exc, Stale) and (now := exc.reasons[0].facts.get("now")):
            headers["ETag"] = f'"{now}"'
    elif isinstance(exc, NotAnswerable):
        body = problem(exc.status, [_worded(exc.reason)], instance)
    else:
        known = _of_framework(exc)
        if known is None:
            return None
        body = problem(known[0], known[1], instance)
        headers = _headers_of(exc)
    return Response(body, status=body["status"], headers=headers, content_type=MEDIA_TYPE)


def _of_framework(exc: Exception) -> tuple[int, list[dict[str, str]]] | None:
    """Return status and reasons of what Django and DRF raise."""
    if isinstance(exc, exceptions.ValidationError):
        return status.HTTP_422_UNPROCESSABLE_ENTITY, list(_fields(exc.detail))
    for kinds, http_status, code, facts in _KNOWN:
        if isinstance(exc, kinds):
            return http_status, [_worded(Reason(code, facts))]
    return None


_LIMIT_MB = {"limit_mb": settings.DATA_UPLOAD_MAX_MEMORY_SIZE // (1024 * 1024)}
_KNOWN: tuple[tuple[Any, int, str, dict[str, Any]], ...] = (
    (exceptions.AuthenticationFailed, 401, "token_unknown", {}),
    (exceptions.NotAuthenticated, 401, "token_needed", {}),
    ((exceptions.PermissionDenied, PermissionDenied), 403, "forbidden", {}),
    ((exceptions.NotFound, Http404), 404, "no_such_address", {}),
    (exceptions.MethodNotAllowed, 405, "method_unknown", {}),
    (exceptions.Throttled, 429, "throttled", {}),
    (exceptions.UnsupportedMediaType, 415, "media_type_unknown", {}),
    (RequestDataTooBig, 413, "body_too_large", _LIMIT_MB),
    (exceptions.ParseError, 400, "not_readable", {}),
    (SuspiciousOperation, 400, "not_readable", {}),
)


def _headers_of(exc: Exception) -> dict[str, str]:
    headers = {}
    if getattr(exc, "auth_header", None):
        headers["WWW-Authenticate"] = str(exc.auth_header)  # type: ignore[attr-defined]
    wait = getattr(exc, "wait", None) if isinstance(exc, exceptions.Throttled) else None
    if wait:
        headers["Retry-After"] = str(int(wait) + 1)
    return headers


def _fields(detail: Any, path: str = "") -> Iterator[dict[str, str]]:
    """Flatten a serializer's errors into reasons with dotted paths; list positions count from 0."""
    if isinstance(detail, dict):
        for name, inner in detail.items():
            deeper = path if name == "non_field_errors" else f"{path}.{name}".lstrip(".")
            yield from _fields(inner, deeper)
    elif isinstance(detail, list):
        for index, inner in enumerate(detail):
            yield from _fields(inner, path if isinstance(inner, str) else f"{path}.{index}".lstrip("."))
    else:
        yield {"code": getattr(detail, "code", "invalid"), "field": path, "detail": str(detail)}
