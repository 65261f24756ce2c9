"""What the service is made of: apps, middleware, templates, languages, static files, the log."""

from shop.settings.environment import BASE_DIR

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
    "shop.reckoner",
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
    "shop.core.middleware.CallersAddress",
    "shop.core.middleware.SecurityHeaders",
    "shop.core.middleware.OneProfile",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.middleware.gzip.GZipMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "shop.core.middleware.CustomersLanguage",
    "django.middleware.common.CommonMiddleware",
    "shop.core.middleware.NoNullCharacters",
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

LANGUAGE_CODE = "en"
# Each in its own language, as it is offered to a reader.
LANGUAGES = [("en", "English"), ("de", "Deutsch"), ("fr", "Français")]
LOCALE_PATHS = [BASE_DIR / "shop" / "locale"]
USE_TZ = True
TIME_ZONE = "UTC"

STATIC_URL = "/static/"
# Served from where they lie: no folder to collect them into, so none that could be out of date.
WHITENOISE_USE_FINDERS = True
WHITENOISE_ALLOW_ALL_ORIGINS = False

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "%(asctime)s %(levelname)s %(name)s %(message)s"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
    "filters": {"without_secrets": {"()": "shop.core.audit.WithoutSecrets"}},
    "loggers": {
        "wickline": {"handlers": ["console"], "level": "INFO", "propagate": False},
        "django.request": {"filters": ["without_secrets"]},
    },
}
