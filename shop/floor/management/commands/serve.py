"""Run the whole shop on this machine."""

import getpass
import io
import os
import sys
from argparse import ArgumentParser
from typing import Any
from urllib.parse import urlsplit

import qrcode
from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import connections

from shop.core import supervisor
from shop.core.reasons import Refused, sentence
from shop.floor.first_start import first_owner, first_owner_unasked, has_staff, network_address


class Command(BaseCommand):
    """Prepare the tables, make the first account, then keep pages, worker and beat running until Ctrl-C."""

    help = "Runs pages, worker and beat on this machine until Ctrl-C. With --lan phones in the shop reach it too."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take --port and --lan."""
        parser.add_argument("--port", type=int, default=8000, help="where the pages listen (8000)")
        parser.add_argument("--lan", action="store_true", help="listen to the whole network, not to this machine alone")

    def handle(self, *_args: Any, **options: Any) -> None:
        """Run until stopped."""
        port, lan = options["port"], options["lan"]
        call_command("migrate", interactive=False, verbosity=0)
        self.stdout.write("The tables are ready.")
        if not has_staff():
            self._make_owner()
        connections.close_all()
        near = network_address() if lan else "127.0.0.1"
        address = os.environ.get("WICKLINE_SHOP_ADDRESS") or f"http://{near}:{port}"
        hosts = [near, *filter(None, os.environ.get("WICKLINE_ALLOWED_HOSTS", "").split(","))]
        try:
            code = supervisor.run(
                host="0.0.0.0" if lan else "127.0.0.1",  # noqa: S104 - asked for by --lan
                port=port,
                extra_env={"WICKLINE_SHOP_ADDRESS": address, "WICKLINE_ALLOWED_HOSTS": ",".join(hosts)},
                on_ready=lambda: self._greet(address, lan=lan),
            )
        except supervisor.CannotRun as problem:
            raise CommandError(str(problem)) from None
        sys.exit(code)

    def _make_owner(self) -> None:
        if not sys.stdin.isatty():
            user, password = first_owner_unasked()
            self.stdout.write(f"First start. Sign in as {user.username} with the password {password} and change it.")
            return
        self.stdout.write("First start. Make the owner's account.")
        while True:
            username = input("Name for signing in: ")
            name = input("Your name: ")
            try:
                first_owner(username=username, name=name, password=getpass.getpass("Password: "))
            except Refused as refused:
                self.stdout.write("\n".join(sentence(reason) for reason in refused.reasons))
            else:
                return

    def _greet(self, address: str, *, lan: bool) -> None:
        if lan:
            self.stdout.write(_code_for(address))
            if urlsplit(address).scheme == "http":
                self.stdout.write("There is no HTTPS on this network: the README says what works without it and how.")
        self.stdout.write(f"The shop is open at {address} and keeps its data in {settings.DATA_DIR}. Ctrl-C closes it.")
        self.stdout.flush()


def _code_for(address: str) -> str:
    """Draw the QR code of an address in half blocks, light on a dark terminal as readers expect it."""
    drawn = io.StringIO()
    picture = qrcode.QRCode(border=2)
    picture.add_data(address)
    picture.print_ascii(out=drawn, invert=True)
    return drawn.getvalue()
