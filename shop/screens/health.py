"""Whether the shop runs, for machines that watch it, in plain sentences for people too."""

from functools import cache

from django.db import DatabaseError
from django.http import HttpRequest, HttpResponse
from django.urls import path
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from shop.floor.doctor import services
from shop.floor.doctor.answer import State


@never_cache
@require_safe
def livez(_request: HttpRequest) -> HttpResponse:
    """Say that this process answers."""
    return _plain([_("The shop runs.")], well=True)


@never_cache
@require_safe
def readyz(_request: HttpRequest) -> HttpResponse:
    """Say whether a request can be served: database, tables and broker. 503 with what is wrong when not.

    A stranger may ask, so the sentences name no address and no fault text; `manage.py doctor` does.
    """
    wrong = []
    if services.database()[0] is not State.OK:
        wrong.append(_("The database does not answer as it should."))
    elif not _tables_fit():
        wrong.append(_("The tables are not those of this version."))
    if services.broker_answers()[0] is not State.OK:
        wrong.append(_("The broker cannot be reached; messages wait."))
    if wrong:
        return _plain([*wrong, _("Run manage.py doctor on the shop's machine.")], well=False)
    return _plain([_("Ready: the database, its tables and the broker answer.")], well=True)


def _plain(sentences: list[str], *, well: bool) -> HttpResponse:
    status = 200 if well else 503
    return HttpResponse("\n".join(sentences) + "\n", content_type="text/plain; charset=utf-8", status=status)


class _NotYet(Exception):
    """Raised so that only a good answer is kept."""


@cache
def _seen_fitting() -> bool:
    """Tables that once fit stay so for the life of a process; looking reads every migration file."""
    if services.migrated()[0] is not State.OK:
        raise _NotYet
    return True


def _tables_fit() -> bool:
    try:
        return _seen_fitting()
    except (_NotYet, DatabaseError):
        return False


urlpatterns = [path("livez", livez, name="livez"), path("readyz", readyz, name="readyz")]
