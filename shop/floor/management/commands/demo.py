"""Run an invented shop on this machine, to look around in."""

import os
import shutil
import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import connections, transaction

from shop.core import supervisor
from shop.core.onlyone import Taken, hold
from shop.core.profile import one_reading
from shop.floor.demo.floorful import stock_the_floor
from shop.floor.demo.stock_in_trade import PASSWORD, furnish
from shop.people.models import User
from shop.units import links
from shop.units.models import CustomerLink


class Command(BaseCommand):
    """Seed the invented shop once, in a data folder of its own, then run it until Ctrl-C."""

    help = "Runs an invented shop at 127.0.0.1:8000 until Ctrl-C. Running it again keeps the data; --fresh starts over."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take --port and --fresh."""
        parser.add_argument("--port", type=int, default=8000, help="where the pages listen (8000)")
        parser.add_argument("--fresh", action="store_true", help="throw the demo's data away and start over")
        parser.add_argument("--only-furnish", action="store_true", help="set up people and library, no units, and end")

    def handle(self, *_args: Any, **options: Any) -> None:
        """Seed, all or nothing, and run until stopped. Only as manage.py starts it, apart from any real shop."""
        if os.environ.get("WICKLINE_KEPT_APART") != "yes":
            raise CommandError("Start the demo as: python manage.py demo")
        if options["fresh"]:
            self._throw_away(settings.DATA_DIR)
        call_command("migrate", interactive=False, verbosity=0)
        if not User.objects.exists():
            with one_reading(), transaction.atomic():
                house = furnish()
                if not options["only_furnish"]:
                    stock_the_floor(house)
        if options["only_furnish"]:
            return
        connections.close_all()
        address = f"http://127.0.0.1:{options['port']}"
        try:
            code = supervisor.run(
                host="127.0.0.1",
                port=options["port"],
                extra_env={"WICKLINE_SHOP_ADDRESS": address},
                on_ready=lambda: self._greet(address),
            )
        except supervisor.CannotRun as problem:
            raise CommandError(str(problem)) from None
        sys.exit(code)

    def _throw_away(self, folder: Path) -> None:
        try:
            hold(folder / "running.lock").close()
        except Taken as taken:
            raise CommandError(f"The demo is running (process {taken.holder}). Stop it first.") from None
        for inside in folder.iterdir():
            if inside.name == "secret":
                continue  # read already: a new one would not fit the sessions that this program signs
            shutil.rmtree(inside) if inside.is_dir() else inside.unlink()

    def _greet(self, address: str) -> None:
        say = self.stdout.write
        say(f"\nAn invented shop is open at {address}")
        for user in User.objects.order_by("created_at"):
            say(f"  sign in as {user.username:<9} password: {PASSWORD}   ({user.get_role_display()})")
        link = CustomerLink.objects.filter(unit__holds__kind="approval", unit__holds__lifted_at=None, revoked_at=None)
        waiting = link.select_related("unit").first()
        if waiting:
            say(f"  a customer's page, with a quote to approve: {address}/c/{links.token_of(waiting)}")
        say(f"  messages are written to {settings.DATA_DIR / 'mail'}")
        say("Ctrl-C stops everything; running it again keeps the data, --fresh starts over.")
        self.stdout.flush()
