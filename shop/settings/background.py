"""What goes on behind the pages: the broker, its tasks, the cache beside it, and the planner's own process."""

from urllib.parse import urlsplit

from django.core.exceptions import ImproperlyConfigured

from shop.settings.environment import text
from shop.settings.running import DATA_DIR

BROKER_URL = text("WICKLINE_BROKER_URL", "files://")
if urlsplit(BROKER_URL).scheme not in ("files", "redis", "rediss"):
    raise ImproperlyConfigured("WICKLINE_BROKER_URL is neither files:// nor like redis://host:6379/0.")
# kombu wants a host even where there is none.
CELERY_BROKER_URL = "files://localhost" if BROKER_URL.startswith("files") else BROKER_URL
BROKER_DIR = DATA_DIR / "broker"
CELERY_BROKER_TRANSPORT_OPTIONS = (
    {"folder": str(BROKER_DIR), "polling_interval": 0.2}
    if BROKER_URL.startswith("files")
    # A request must not hang on a broker that is away; a message in hand comes back after the visibility timeout.
    else {
        "socket_connect_timeout": 3,
        "socket_timeout": 10,
        "visibility_timeout": 900,
        "max_retries": 1,
        "interval_start": 0,
        "interval_step": 0.1,
        "interval_max": 0.1,
    }
)
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_TASK_PUBLISH_RETRY_POLICY = {"max_retries": 1, "interval_start": 0, "interval_step": 0.2, "interval_max": 0.2}
CELERY_TASK_DEFAULT_QUEUE = "wickline"
CELERY_TASK_SERIALIZER = "json"
CELERY_ACCEPT_CONTENT = ["json"]
CELERY_TASK_IGNORE_RESULT = True
CELERY_TASK_STORE_ERRORS_EVEN_IF_IGNORED = False
CELERY_TASK_ACKS_LATE = True
CELERY_TIMEZONE = "UTC"
# Threads, since the tasks wait for mail servers and the database; heavy work runs in processes of its own.
CELERY_WORKER_POOL = "threads"
CELERY_WORKER_CONCURRENCY = 2
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_WORKER_HIJACK_ROOT_LOGGER = False
# Nothing here is steered by remote commands, so nobody can send any.
CELERY_WORKER_ENABLE_REMOTE_CONTROL = False
CELERY_BEAT_SCHEDULER = "shop.core.onebeat:OneBeat"
CELERY_BEAT_SCHEDULE_FILENAME = str(DATA_DIR / "beat-schedule")
CELERY_BEAT_SCHEDULE = {
    # Without `expires` beat would pile up messages while no worker runs.
    "sweep due work": {"task": "core.sweep_due_work", "schedule": 5.0, "options": {"expires": 10}},
    "seal the trail": {"task": "core.seal_trail", "schedule": 300.0, "options": {"expires": 300}},
    "sweep notices": {"task": "notices.sweep", "schedule": 5.0, "options": {"expires": 10}},
    "remind and expire quotes": {"task": "quotes.remind_and_expire", "schedule": 600.0, "options": {"expires": 600}},
    "plan the night over": {"task": "planning.tonight", "schedule": 1800.0, "options": {"expires": 1800}},
}
CACHES = (
    {"default": {"BACKEND": "django.core.cache.backends.redis.RedisCache", "LOCATION": BROKER_URL}}
    if BROKER_URL.startswith("redis")
    else {
        "default": {
            "BACKEND": "django.core.cache.backends.filebased.FileBasedCache",
            "LOCATION": str(DATA_DIR / "cache"),
        }
    }
)

# The planner works in a process of its own, within so much memory; more than that and the last plan stays.
_planning_memory = text("WICKLINE_PLANNING_MEMORY_MB", "2048")
if not (_planning_memory.isascii() and _planning_memory.isdigit()):
    raise ImproperlyConfigured(f"WICKLINE_PLANNING_MEMORY_MB is {_planning_memory!r}: write a number of megabytes.")
PLANNING_MEMORY_MB = int(_planning_memory)
