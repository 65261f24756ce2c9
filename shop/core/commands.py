"""What the commands that read the shop's database share."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError


class ShopCommand(BaseCommand):
    """Base of a command that needs the shop's tables: without them it ends with a sentence and no traceback."""

    def execute(self, *args: Any, **options: Any) -> str | None:
        """Run the command. Raises CommandError when the database does not answer or is not prepared."""
        try:
            return super().execute(*args, **options)
        except DatabaseError as problem:
            raise CommandError(
                f"The shop's database does not answer or is not prepared ({problem}). Look with: manage.py doctor"
            ) from problem
