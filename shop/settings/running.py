"""In which form the shop runs, where its data are, and at which address it is reached."""

import secrets
from pathlib import Path
from urllib.parse import urlsplit

from django.core.exceptions import ImproperlyConfigured

from shop.settings.environment import BASE_DIR, env, switch, text

FORM = text("WICKLINE_FORM", "embedded")
if FORM not in ("embedded", "production"):
    raise ImproperlyConfigured(f"WICKLINE_FORM is {FORM!r}: write embedded or production.")
PRODUCTION = FORM == "production"
DEBUG = switch("WICKLINE_DEBUG")
DATA_DIR = Path(text("WICKLINE_DATA_DIR", str(BASE_DIR / "var"))).resolve()
try:
    DATA_DIR.mkdir(parents=True, exist_ok=True)
except OSError as _problem:
    raise ImproperlyConfigured(
        f"WICKLINE_DATA_DIR is {str(DATA_DIR)!r}, and that folder cannot be made ({_problem.strerror}): choose another."
    ) from None


def _secret_key() -> str:
    """Read the secret from the environment, or in the embedded form keep one in the data folder."""
    given = env("WICKLINE_SECRET_KEY", default="")
    if given:
        if PRODUCTION and len(given) < 40:
            raise ImproperlyConfigured("WICKLINE_SECRET_KEY is shorter than 40 characters: make a longer random one.")
        return str(given)
    if PRODUCTION:
        raise ImproperlyConfigured("WICKLINE_SECRET_KEY is empty: set it to 50 random characters before you start.")
    kept = DATA_DIR / "secret"
    if not kept.is_file():
        kept.touch(mode=0o600)
        kept.write_text(secrets.token_urlsafe(48))
    return kept.read_text().strip()


SECRET_KEY = _secret_key()

# The address that is printed on labels and written in messages, without a slash at its end.
SHOP_ADDRESS = text("WICKLINE_SHOP_ADDRESS", "http://127.0.0.1:8000").rstrip("/")
_address = urlsplit(SHOP_ADDRESS)
if _address.scheme not in ("http", "https") or not _address.hostname:
    raise ImproperlyConfigured(f"WICKLINE_SHOP_ADDRESS is {SHOP_ADDRESS!r}: write it like https://shop.example.")
HTTPS = _address.scheme == "https"
ALLOWED_HOSTS = [*env.list("WICKLINE_ALLOWED_HOSTS", default=[]), _address.hostname, "127.0.0.1", "localhost"]
CSRF_TRUSTED_ORIGINS = [SHOP_ADDRESS]
BEHIND_PROXY = switch("WICKLINE_BEHIND_PROXY")
if BEHIND_PROXY:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
