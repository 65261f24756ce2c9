#!/usr/bin/env python3
"""Run one of the shop's commands, for example ``python manage.py demo``."""

import os
import sys


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
    from django.core.exceptions import ImproperlyConfigured
    from django.core.management import execute_from_command_line

    try:
        execute_from_command_line(sys.argv)
    except ImproperlyConfigured as problem:
        sys.exit(f"Wickline does not start. {problem}")


if __name__ == "__main__":
    main()
