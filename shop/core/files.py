"""Files as answers: they open to be looked at, and nothing in them can run."""

from django.http import HttpResponse

LOCKED_UP = "default-src 'none'; sandbox"


def only_to_look_at(content: bytes, kind: str, name: str, *, keep: bool = False) -> HttpResponse:
    """Return a file of a media type under a name; keep lets the reader's own browser keep it for a day."""
    answer = HttpResponse(content, content_type=kind)
    answer["Content-Disposition"] = f'inline; filename="{name}"'
    answer["Content-Security-Policy"] = LOCKED_UP
    if keep:
        answer["Cache-Control"] = "private, max-age=86400"
    return answer
