"""Is this machine fit: settings, data folder, disk, clock, fonts."""

import shutil
import tempfile
from datetime import timedelta

from django.conf import settings
from django.core import checks as django_checks
from django.utils.translation import gettext as _

from shop.core import clock
from shop.core.fonts import bundled_font, find_font
from shop.core.models import TrailEntry
from shop.floor.doctor.answer import Answer, State

ENOUGH_BYTES = 2 * 1024**3
TOO_LITTLE_BYTES = 200 * 1024**2
# A trail entry may be ahead by what two machines' clocks differ; more means that this clock was set back.
CLOCK_SLACK = timedelta(minutes=5)


def configuration() -> Answer:
    """Run Django's own checks, those for production among them in that form."""
    found = django_checks.run_checks(include_deployment_checks=settings.PRODUCTION)
    serious = [message for message in found if message.level >= django_checks.WARNING]
    if serious:
        return State.MEND, " ".join(f"{message.msg} {message.hint or ''}".strip() for message in serious)
    if settings.DEBUG:
        return State.MEND, _("WICKLINE_DEBUG is on and shows strangers how the shop works. Set it to no.")
    return State.OK, _("The settings are sound, in the {form} form.").format(form=settings.FORM)


def data_folder() -> Answer:
    """Tell whether the data folder can be written."""
    try:
        with tempfile.TemporaryFile(dir=settings.DATA_DIR) as file:
            file.write(b"x")
    except OSError as problem:
        return State.MEND, _("The folder {folder} cannot be written ({problem}). Mend its owner or rights.").format(
            folder=settings.DATA_DIR, problem=problem.strerror
        )
    return State.OK, _("Data is kept in {folder}.").format(folder=settings.DATA_DIR)


def disk() -> Answer:
    """Tell whether there is room for photos and tables."""
    free = shutil.disk_usage(settings.DATA_DIR).free
    says = _("{free} MB are free where the data is kept.").format(free=free // 1024**2)
    if free >= ENOUGH_BYTES:
        return State.OK, says
    return (State.MEND if free < TOO_LITTLE_BYTES else State.ADVICE), says + " " + _("Make room soon.")


def machine_clock() -> Answer:
    """Tell whether this machine's clock went back behind what the trail already holds."""
    newest = TrailEntry.objects.order_by("-recorded_at").values_list("recorded_at", flat=True).first()
    now = clock.now()
    if newest is not None and newest - now > CLOCK_SLACK:
        return State.MEND, _(
            "The clock shows {now} UTC, but the trail already goes to {newest} UTC. Set the machine's clock."
        ).format(now=f"{now:%Y-%m-%d %H:%M}", newest=f"{newest:%Y-%m-%d %H:%M}")
    return State.OK, _("The clock shows {now} UTC.").format(now=f"{now:%Y-%m-%d %H:%M}")


def fonts() -> Answer:
    """Tell which names printed labels and sheets cannot show."""
    found = find_font()
    if not found.missing:
        return State.OK, _("Labels are printed in {family}.").format(family=found.family)
    says = _("Labels are printed in {family}; names in these scripts show as boxes: {scripts}.").format(
        family=found.family, scripts=", ".join(found.missing)
    )
    if found == bundled_font():
        return State.ADVICE, says + " " + _("Install DejaVu (fonts-dejavu-core) for more.")
    return State.OK, says
