"""Reading the environment, and the file .env in its place. What cannot be read raises ImproperlyConfigured."""

from pathlib import Path

import environ
from django.core.exceptions import ImproperlyConfigured

BASE_DIR = Path(__file__).resolve().parents[2]
env = environ.Env()
_env_file = Path(env("WICKLINE_ENV_FILE", default=str(BASE_DIR / ".env")))
if _env_file.is_file():
    env.read_env(_env_file)


def text(name: str, default: str) -> str:
    """Read a text; an empty one is as good as none."""
    return str(env(name, default="")).strip() or default


def switch(name: str) -> bool:
    """Read yes or no; anything else stops the start, since a mistyped "yes" must not mean no."""
    given = text(name, "no").lower()
    if given not in ("yes", "true", "on", "1", "no", "false", "off", "0"):
        raise ImproperlyConfigured(f"{name} is {given!r}: write yes or no.")
    return given in ("yes", "true", "on", "1")


def pairs(name: str, default: str) -> dict[str, str]:
    """Read names and what stands for them, like to=recipient,text=body."""
    given = [pair.partition("=") for pair in text(name, default).split(",")]
    if not all(ours.strip() and equals and theirs.strip() for ours, equals, theirs in given):
        raise ImproperlyConfigured(f"{name} cannot be read: write it like {default}.")
    return {ours.strip(): theirs.strip() for ours, _equals, theirs in given}
