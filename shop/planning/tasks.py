"""The planner's background work: a plan after each change, and a thorough one every night."""

from datetime import timedelta
from zoneinfo import ZoneInfo

from celery import shared_task
from celery.worker import state as worker_state
from django.db import transaction

from shop.core import clock, duework
from shop.core.actor import SYSTEM
from shop.core.duework import REPLAN
from shop.core.profile import profile
from shop.planning import solving
from shop.planning.actions import make_plan
from shop.planning.models import Plan

TONIGHT = "tonight"
# After this hour of the shop's night the day's plan is made.
_NIGHT_HOUR = 3


@shared_task(name=REPLAN)
def replan(subject: str) -> str:
    """Make a plan: quickly after a change, thoroughly at night. Returns how the run ended."""
    effort = solving.THOROUGH if subject == TONIGHT else solving.QUICK
    run = make_plan(actor=SYSTEM, effort=effort, should_stop=_worker_ends)
    if run.state == Plan.State.STOPPED and _worker_ends():
        # Whoever stops the shop need not wait for the planner; the next worker takes the wish up.
        with transaction.atomic():
            duework.wake(REPLAN, subject)
    return str(run.state)


def _worker_ends() -> bool:
    """Tell whether the worker has been asked to end."""
    # Celery writes an exit code there, and 0 is one.
    asked = (worker_state.should_stop, worker_state.should_terminate)
    return any(code is not None and code is not False for code in asked)


@shared_task(name="planning.tonight")
def tonight() -> bool:
    """Ask for the night's plan once a night. Returns whether it was asked for."""
    now = clock.now().astimezone(ZoneInfo(profile().time_zone))
    night = now.replace(hour=_NIGHT_HOUR, minute=0, second=0, microsecond=0)
    if now < night:
        night -= timedelta(days=1)
    if Plan.objects.filter(made_at__gte=night, effort=solving.THOROUGH).exists():
        return False
    with transaction.atomic():
        duework.wake(REPLAN, TONIGHT)
    return True
