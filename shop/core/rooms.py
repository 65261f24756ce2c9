"""A room of the shop as Django sees it: an app that teaches its sentences when it is ready."""

from importlib import import_module
from importlib.util import find_spec
from typing import Any

from django.apps import AppConfig

from shop.core.reasons import teach


class Room(AppConfig):
    """Base of every room's AppConfig."""

    default_auto_field = "django.db.models.BigAutoField"
    # Each apps.py holds this name as well: without the hint Django finds two classes there and takes neither.
    default = False

    def __init_subclass__(cls, **options: Any) -> None:
        super().__init_subclass__(**options)
        cls.default = True

    def ready(self) -> None:
        """Teach the room's sentences, where it has any."""
        if find_spec(f"{self.name}.sentences"):
            teach(import_module(f"{self.name}.sentences").SENTENCES)
