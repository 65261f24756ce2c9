"""Take one unit through the whole job over HTTP alone."""

import json
import signal
import sys
from argparse import ArgumentParser
from contextlib import nullcontext
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand

from shop.floor.demo.stock_in_trade import PASSWORD
from shop.floor.walkthrough.private import NotStarted, Shop, private_shop
from shop.floor.walkthrough.script import steps
from shop.floor.walkthrough.walk import Otherwise, Walk


class Command(BaseCommand):
    """One line a step; ends with status 1 at the first thing that is not so."""

    help = (
        "Takes one unit from the announcement to the parcel back, over HTTP, in a private copy of the shop. With --url "
        "in a running shop that has the demo's library; what it does there stays there."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take --json, --url and who signs in there."""
        parser.add_argument("--json", action="store_true", help="print one JSON document")
        parser.add_argument("--url", default="", help="a running shop, with the demo's library, instead of a copy")
        parser.add_argument("--owner", default="ottilie", help="who signs in (ottilie)")
        parser.add_argument("--owner-password", default=PASSWORD, help="with which password (the demo's)")
        parser.add_argument("--mail", type=Path, help="with --url: the folder that messages are delivered to, if any")

    def handle(self, *_args: Any, **options: Any) -> None:
        """Walk, and stop the copy on the way out, also when told to end."""
        signal.signal(signal.SIGTERM, lambda *_: sys.exit(128 + signal.SIGTERM))
        self.quiet: bool = options["json"]
        self.done: list[dict[str, str]] = []
        wrong: dict[str, str] = {}
        try:
            with nullcontext(Shop(options["url"], options["mail"])) if options["url"] else private_shop() as shop:
                wrong = self._walk(Walk(shop, options["owner"], options["owner_password"]))
        except NotStarted as problem:
            wrong = self._not_so("start", problem)
        if self.quiet:
            answer = {"ok": not wrong, "steps": self.done, "wrong": wrong or None}
            self.stdout.write(json.dumps(answer, ensure_ascii=False, indent=1))
        elif not wrong:
            self.stdout.write(f"All {len(self.done)} steps are so.")
        sys.exit(1 if wrong else 0)

    def _walk(self, walk: Walk) -> dict[str, str]:
        """Take the steps; return the first that went otherwise, empty when none did."""
        for step in steps(walk):
            try:
                said = step(walk)
            except (Otherwise, LookupError, ValueError, TypeError, OSError) as problem:
                return self._not_so(step.__name__, problem)
            self.done.append({"step": step.__name__, "said": said})
            if not self.quiet:
                self.stdout.write(f"ok  {said}")
                self.stdout.flush()
        return {}

    def _not_so(self, step: str, problem: Exception) -> dict[str, str]:
        said = str(problem) if isinstance(problem, Otherwise | NotStarted | OSError) else f"{problem!r}"
        if not self.quiet:
            self.stderr.write(f"NOT {step}: {said}")
        return {"step": step, "said": said}
