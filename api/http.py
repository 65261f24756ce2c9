"""What a request says in its headers: the version that was seen, and the key that makes a repeat harmless."""

import hashlib
import re
from typing import Any

from django.conf import settings
from django.core.exceptions import RequestDataTooBig
from django.core.files.uploadedfile import UploadedFile
from rest_framework.parsers import JSONParser
from rest_framework.request import Request

from api.problems import NotAnswerable
from shop.core.idempotency import fingerprint
from shop.core.reasons import Reason

KEY_LIMIT = 200
REPLAYED = "Idempotency-Replayed"
# What a form's own fields and boundaries may add to a picture.
_FORM_BYTES = 64 * 1024
_TAG = re.compile(r'"(\d{1,9})"')
_KEY = re.compile(rf"[\x21-\x7e]{{1,{KEY_LIMIT}}}")


class StrictJSONParser(JSONParser):
    """JSON as DRF reads it; nesting that is too deep for Python is as unreadable as anything else malformed."""

    def parse(self, stream: Any, media_type: str | None = None, parser_context: Any = None) -> Any:
        """Return the parsed body. Raises ParseError."""
        try:
            return super().parse(stream, media_type, parser_context)
        except RecursionError:
            raise NotAnswerable(400, Reason("not_readable")) from None


def etag(version: object) -> str:
    """Return the ETag of a version number."""
    return f'"{version}"'


def version_seen(request: Request) -> int:
    """Return the version that If-Match names. Raises NotAnswerable: 428 without the header, 400 for a malformed one."""
    given = request.META.get("HTTP_IF_MATCH", "").strip()
    if not given:
        raise NotAnswerable(428, Reason("version_needed"))
    named = _TAG.fullmatch(given)
    if named is None:
        raise NotAnswerable(400, Reason("version_unreadable"))
    return int(named[1])


def key_of(request: Request) -> str:
    """Return the Idempotency-Key, or nothing. Raises NotAnswerable (400) for one that cannot be kept."""
    given = str(request.META.get("HTTP_IDEMPOTENCY_KEY", ""))
    if "HTTP_IDEMPOTENCY_KEY" in request.META and not _KEY.fullmatch(given):
        raise NotAnswerable(400, Reason("key_unreadable", {"limit": KEY_LIMIT}))
    return given


def fingerprint_of(request: Request, *, upload: bool) -> str:
    """Return what tells this request from another: method, address with query, and all that was sent.

    A form counts by its fields and the bytes of its files, since its boundary is drawn anew each time.
    """
    where = (str(request.method), request.get_full_path())
    if not upload:
        return fingerprint(*where, request.body)
    fields = [f"{name}={value}" for name in sorted(request.POST) for value in request.POST.getlist(name)]
    files = [f"{name}:{_hash(request.FILES[name])}" for name in sorted(request.FILES)]
    return fingerprint(*where, *fields, *files)


def _hash(upload: UploadedFile) -> str:
    """Return the SHA-256 of a file, and leave it to be read from its start again."""
    digest = hashlib.sha256()
    for chunk in upload.chunks():
        digest.update(chunk)
    upload.seek(0)
    return digest.hexdigest()


def refuse_large(request: Request, *, upload: bool) -> None:
    """Look at the announced length before anything is read. Raises RequestDataTooBig."""
    limit = settings.PHOTO_LIMIT_BYTES + _FORM_BYTES if upload else settings.DATA_UPLOAD_MAX_MEMORY_SIZE
    try:
        length = int(request.META.get("CONTENT_LENGTH") or 0)
    except ValueError:
        length = 0
    if length > limit:
        raise RequestDataTooBig
