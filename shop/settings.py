"""Settings. No environment at all gives the embedded form: one machine, SQLite, a broker made of files.

Every name read here is listed in .env.example with what it is for. A bad value stops the start with a sentence.
"""

import secrets
from pathlib import Path
from urllib.parse import urlsplit

import environ
from django.core.exceptions import ImproperlyConfigured

BASE_DIR = Path(__file__).resolve().parent.parent
env = environ.Env()
if (BASE_DIR / ".env").is_file():
    env.read_env(BASE_DIR / ".env")

FORM = env("WICKLINE_FORM", default="embedded")
if FORM not in ("embedded", "production"):
    raise ImproperlyConfigured(f"WICKLINE_FORM is {FORM!r}: write embedded or production.")
PRODUCTION = FORM == "production"
DEBUG = env.bool("WICKLINE_DEBUG", default=False)
DATA_DIR = Path(env("WICKLINE_DATA_DIR", default=str(BASE_DIR / "var"))).resolve()
DATA_DIR.mkdir(parents=True, exist_ok=True)


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
SHOP_ADDRESS = env("WICKLINE_SHOP_ADDRESS", default="http://127.0.0.1:8000").rstrip("/")
_address = urlsplit(SHOP_ADDRESS)
if _address.scheme not in ("http", "https") or not _address.hostname:
    raise ImproperlyConfigured(f"WICKLINE_SHOP_ADDRESS is {SHOP_ADDRESS!r}: write it like https://shop.example.")
HTTPS = _address.scheme == "https"
ALLOWED_HOSTS = [*env.list("WICKLINE_ALLOWED_HOSTS", default=[]), _address.hostname, "127.0.0.1", "localhost"]
CSRF_TRUSTED_ORIGINS = [SHOP_ADDRESS]

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django_htmx",
    "rest_framework",
    "drf_spectacular",
    "shop.core",
    "shop.people",
    "shop.ledger",
    "shop.parts",
    "shop.boards",
    "shop.units",
    "shop.notices",
    "shop.work",
    "shop.quotes",
    "shop.stock",
    "shop.testing",
    "shop.books",
    "shop.planning",
    "shop.floor",
    "shop.screens",
    "api",
    "customer_portal",
]

MIDDLEWARE = [
    "shop.core.middleware.SecurityHeaders",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.middleware.gzip.GZipMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
]

ROOT_URLCONF = "shop.urls"
WSGI_APPLICATION = "shop.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ],
        },
    }
]

DATABASES = {"default": env.db("WICKLINE_DATABASE_URL", default=f"sqlite:///{DATA_DIR / 'wickline.sqlite3'}")}
_database = DATABASES["default"]
if _database["ENGINE"] == "django.db.backends.sqlite3":
    # IMMEDIATE takes the write lock first, so that two writers queue instead of failing half-way (see promises).
    _database["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL; PRAGMA foreign_keys=ON;",
    }
    _database["TEST"] = {"NAME": str(DATA_DIR / "test.sqlite3")}
else:
    _database["CONN_MAX_AGE"] = 60
    _database["CONN_HEALTH_CHECKS"] = True
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "people.User"
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
LOGIN_URL = "screens:sign-in"
LOGIN_REDIRECT_URL = "screens:floor"
LOGOUT_REDIRECT_URL = "screens:sign-in"

BROKER_URL = env("WICKLINE_BROKER_URL", default="files://")
CACHES = (
    {"default": {"BACKEND": "django.core.cache.backends.redis.RedisCache", "LOCATION": BROKER_URL}}
    if BROKER_URL.startswith("redis")
    else {"default": {"BACKEND": "django.core.cache.backends.filebased.FileBasedCache", "LOCATION": DATA_DIR / "cache"}}
)

# Without a mail server messages are written to files, so that nothing is lost while a shop is being set up.
if env("WICKLINE_EMAIL_URL", default=""):
    vars().update(env.email("WICKLINE_EMAIL_URL"))
else:
    EMAIL_BACKEND = "django.core.mail.backends.filebased.EmailBackend"
    EMAIL_FILE_PATH = str(DATA_DIR / "mail")
EMAIL_TIMEOUT = 20
DEFAULT_FROM_EMAIL = env("WICKLINE_FROM_EMAIL", default="shop@localhost")

LANGUAGE_CODE = "en"
LANGUAGES = [("en", "English")]
LOCALE_PATHS = [BASE_DIR / "shop" / "locale"]
USE_TZ = True
TIME_ZONE = "UTC"

STATIC_URL = "/static/"
STATIC_ROOT = DATA_DIR / "static"
WHITENOISE_USE_FINDERS = True
PHOTO_DIR = DATA_DIR / "photos"
PHOTO_LIMIT_BYTES = 15 * 1024 * 1024
PHOTO_LIMIT_PIXELS = 60_000_000
FILE_UPLOAD_MAX_MEMORY_SIZE = 2 * 1024 * 1024
DATA_UPLOAD_MAX_MEMORY_SIZE = 2 * 1024 * 1024

# A host-only, secure cookie under HTTPS; on a plain shop network browsers would refuse those names.
_prefix = "__Host-" if HTTPS else ""
SESSION_COOKIE_NAME = f"{_prefix}wickline-session"
CSRF_COOKIE_NAME = f"{_prefix}wickline-csrf"
CUSTOMER_COOKIE_NAME = f"{_prefix}wickline-link"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = HTTPS
SESSION_COOKIE_HTTPONLY = CSRF_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = CSRF_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_AGE = 60 * 60 * 24 * 14
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
SECURE_SSL_REDIRECT = HTTPS
SECURE_REDIRECT_EXEMPT = [r"^(livez|readyz)$"]
SECURE_HSTS_SECONDS = 31_536_000 if HTTPS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = HTTPS
if env.bool("WICKLINE_BEHIND_PROXY", default=False):
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")

REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": ["api.auth.DeviceTokenAuthentication"],
    "DEFAULT_PERMISSION_CLASSES": ["rest_framework.permissions.IsAuthenticated"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["rest_framework.parsers.JSONParser", "rest_framework.parsers.MultiPartParser"],
    "DEFAULT_SCHEMA_CLASS": "drf_spectacular.openapi.AutoSchema",
    "EXCEPTION_HANDLER": "api.problems.handle",
    "UNAUTHENTICATED_USER": None,
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Wickline",
    "DESCRIPTION": "Units, quotes, bench work, tests and pickup of one workshop.",
    "VERSION": "1.0.0",
    "OAS_VERSION": "3.1.0",
    "SERVE_INCLUDE_SCHEMA": False,
    "COMPONENT_SPLIT_REQUEST": True,
}

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "%(asctime)s %(levelname)s %(name)s %(message)s"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
    "loggers": {"wickline": {"handlers": ["console"], "level": "INFO", "propagate": False}},
}
