#!/usr/bin/env python3
"""Run one of the shop's commands, for example ``python manage.py demo``."""

import os
import sys
from pathlib import Path


def keep_the_demo_apart() -> None:
    """Give the demo a data folder of its own and none of the shop's settings, before any of them is read.

    So an invented shop never meets a real one's database, broker or mail server.
    """
    folder = Path(os.environ.get("WICKLINE_DATA_DIR") or Path(__file__).resolve().parent / "var") / "demo"
    for name in [name for name in os.environ if name.startswith("WICKLINE_")]:
        del os.environ[name]
    os.environ |= {"WICKLINE_DATA_DIR": str(folder), "WICKLINE_ENV_FILE": os.devnull, "WICKLINE_KEPT_APART": "yes"}


def main() -> None:
    if sys.argv[1:2] == ["demo"]:
        keep_the_demo_apart()
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
    from django.core.exceptions import ImproperlyConfigured
    from django.core.management import execute_from_command_line

    try:
        execute_from_command_line(sys.argv)
    except ImproperlyConfigured as problem:
        sys.exit(f"Wickline does not start. {problem}")


if __name__ == "__main__":
    main()
