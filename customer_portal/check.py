"""Where anybody checks a paper of a decision against what the shop keeps. It shows nothing personal and keeps nothing.

The code on a paper leads here with a hash; a hash can be typed, and a file can be given. A file is hashed while it
comes in and never kept, in memory or on disk. For that its reader has to be in place before the form is read, so the
view is exempt from the check against foreign forms, and what takes the form makes that check itself.
"""

import hashlib
import re
from dataclasses import dataclass
from typing import Any

from django.core.files.uploadhandler import FileUploadHandler, SkipFile
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import get_language
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import csrf_exempt, csrf_protect
from django.views.decorators.http import require_http_methods

from customer_portal.limits import too_often, used_up
from shop.core import clock
from shop.core.profile import profile
from shop.core.reader import written_for
from shop.quotes.papers import Known, found_by_hash

MOST_WRONG = 20
LARGEST_BYTES = 2 * 1024 * 1024
_PDF_BEGINS = b"%PDF-"
_SHA256 = re.compile(r"[0-9a-f]{64}")
# What the answers come to as HTTP says it.
_STATUS = {"": 200, "known": 200, "unknown": 404, "malformed": 422, "nothing": 422, "not_pdf": 422, "too_large": 413,
           "waiting": 429}  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Answer:
    """How a try ended (see `_STATUS`), the decision that is known, and what was typed."""

    said: str
    known: Known | None = None
    typed: str = ""


class _Hashing(FileUploadHandler):
    """Takes the SHA-256 of the first file of a form as its chunks come in; no chunk is kept."""

    def __init__(self) -> None:
        super().__init__()
        self.given, self.size, self.begins, self.sha256 = False, 0, b"", hashlib.sha256()

    def new_file(self, *about: Any, **more: Any) -> None:
        """Pass over every file but the first."""
        super().new_file(*about, **more)
        if self.given:
            raise SkipFile
        self.given = True

    def receive_data_chunk(self, raw_data: bytes, start: int) -> None:  # noqa: ARG002
        """Take a chunk in, or pass over the rest of a file that is too large."""
        self.size += len(raw_data)
        if self.size > LARGEST_BYTES:
            raise SkipFile
        self.begins = (self.begins + raw_data[: len(_PDF_BEGINS)])[: len(_PDF_BEGINS)]
        self.sha256.update(raw_data)

    def file_complete(self, file_size: int) -> None:
        """Hand nothing on: the hash is all that is wanted."""


@csrf_exempt
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def check(request: HttpRequest) -> HttpResponse:
    """Show the form, or say whether a hash or a file is one of the shop's papers."""
    if used_up(request, "check", MOST_WRONG):
        return _page(request, _Answer("waiting"))
    if request.method == "POST":
        file = _Hashing()
        request.upload_handlers = [file]
        return _taken(request, file)
    return _page(request, _of_text(request.GET["hash"]) if "hash" in request.GET else _Answer(""))


@csrf_protect
def _taken(request: HttpRequest, file: _Hashing) -> HttpResponse:
    """Answer a form; a file that was given counts, whatever was typed beside it."""
    typed = request.POST.get("hash", "")  # reads the whole form, and the file with it
    return _page(request, _of_file(file) if file.given else _of_text(typed))


def _of_text(typed: str) -> _Answer:
    """Look a typed hash up, with blanks, line ends and capitals as they may be."""
    bare = "".join(typed.split()).lower()
    if not bare:
        return _Answer("nothing")
    return _of_hash(bare, typed) if _SHA256.fullmatch(bare) else _Answer("malformed", typed=typed[:200])


def _of_file(file: _Hashing) -> _Answer:
    if file.size > LARGEST_BYTES:
        return _Answer("too_large")
    return _of_hash(file.sha256.hexdigest(), "") if file.begins == _PDF_BEGINS else _Answer("not_pdf")


def _of_hash(sha256: str, typed: str) -> _Answer:
    known = found_by_hash(sha256)
    return _Answer("known" if known else "unknown", known, typed[:200])


def _page(request: HttpRequest, answer: _Answer) -> HttpResponse:
    """Render an answer; one that is wrong is counted, and may be the one too many."""
    wrong = answer.said not in ("", "known", "waiting")
    if wrong and too_often(request, "check", MOST_WRONG):
        answer = _Answer("waiting")
    shop = profile()
    decision = answer.known.decision if answer.known else None
    context = {
        "shop": shop,
        "answer": answer,
        "decision": decision,
        "decided_on": clock.day_of(decision.created_at, shop.time_zone) if decision else None,
        "most": MOST_WRONG,
        "limit_mb": LARGEST_BYTES // 1024**2,
    }
    with written_for(get_language() or "en"):
        return render(request, "customer/check.html", context, status=_STATUS[answer.said])
