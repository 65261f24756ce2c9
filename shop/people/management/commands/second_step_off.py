"""Let somebody sign in with the password alone, who lost the telephone and the recovery codes."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import CommandError

from shop.core.actor import Actor, Role
from shop.core.commands import ShopCommand
from shop.core.reasons import Refused, sentence
from shop.people import second_factor
from shop.people.models import User


class Command(ShopCommand):
    """Turn one account's second step off. Whoever can run this on the machine could read the database as well."""

    help = "Turns the second step of signing in off for one account, when telephone and recovery codes are lost."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the name that is used for signing in."""
        parser.add_argument("username")

    def handle(self, *_args: Any, **options: Any) -> None:
        """Turn it off, and say so."""
        user = User.objects.filter(username=options["username"].lower()).first()
        if user is None:
            raise CommandError(f"Nobody signs in as {options['username']}.")
        try:
            second_factor.end(actor=Actor(role=Role.OWNER, id="machine"), user_id=user.id)
        except Refused as refused:
            raise CommandError(" ".join(map(sentence, refused.reasons))) from refused
        self.stdout.write(f"{user.name} signs in with the password alone now. Set a new second step soon.")
