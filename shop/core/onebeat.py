"""Beat's scheduler, of which one runs on a data folder: two beats would ring everything twice and nobody would see."""

import sys
from typing import IO

from celery.beat import PersistentScheduler
from django.conf import settings

from shop.core.onlyone import Taken, hold


class OneBeat(PersistentScheduler):
    """Keeps its schedule in a file, and its place by a lock."""

    _held: IO[str] | None = None

    def setup_schedule(self) -> None:
        """Take the lock, then read the schedule. Ends the process with a sentence when another beat runs."""
        try:
            self._held = self._held or hold(settings.DATA_DIR / "beat.lock")
        except Taken as taken:
            sys.exit(f"Another beat already runs on {settings.DATA_DIR} (process {taken.holder}): stop that one first.")
        super().setup_schedule()
