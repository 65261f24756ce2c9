"""Who may come in, and what browsers are told: signing in, cookies, headers."""

from shop.settings.running import HTTPS

AUTH_USER_MODEL = "people.User"
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
LOGIN_URL = "screens:sign-in"
LOGIN_REDIRECT_URL = "screens:floor"
LOGOUT_REDIRECT_URL = "screens:sign-in"

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
