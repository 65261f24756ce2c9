"""Look at everything that may be wrong and say how to mend it."""

import json
import sys
from argparse import ArgumentParser
from dataclasses import asdict
from typing import Any

from django.core.management.base import BaseCommand

from shop.floor.doctor import CHECKS, examine
from shop.floor.doctor.answer import State


class Command(BaseCommand):
    """Print one line a check. Ends with 1 when something must be mended."""

    help = "Checks settings, database, broker, worker, fonts, clock, mail and addresses, and says how to mend them."
    # The doctor must be able to speak when Django's own checks would stop any other command.
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take --json, and --only for one check or several."""
        parser.add_argument("--json", action="store_true", help="for machines: a list of name, state and sentence")
        parser.add_argument("--only", action="append", choices=list(CHECKS), default=[], help="this check alone")

    def handle(self, *_args: Any, **options: Any) -> None:
        """Make the checks and print them."""
        checks = examine(*options["only"])
        if options["json"]:
            self.stdout.write(json.dumps([asdict(check) for check in checks], indent=2))
        else:
            for check in checks:
                self.stdout.write(f"{check.state:<9} {check.name:<16} {check.says}")
        if any(check.state is State.MEND for check in checks):
            sys.exit(1)
