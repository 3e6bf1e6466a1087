"""Settings of one installation: one laptop, one data folder, one process.

Everything that may differ between installations comes from the environment and is read here, typed,
so that a bad value is named at the start and not in the middle of a round.
"""

import os
from pathlib import Path

import dj_database_url
from csp.constants import NONE, SELF
from django.core.exceptions import ImproperlyConfigured

from desk.boot import secret
from desk.static_version import static_version

BASE_DIR = Path(__file__).resolve().parent.parent


def _flag(name: str, *, default: bool) -> bool:
    value = os.environ.get(name, "").strip().lower()
    if value in {"", "0", "1", "no", "yes"}:
        return default if value == "" else value in {"1", "yes"}
    raise ImproperlyConfigured(f"{name}={value!r}: write 1 or 0.")


# --- Where the data live -------------------------------------------------------------------------------
DATA_DIR = Path(os.environ.get("STARTHORN_DATA") or BASE_DIR / "data").expanduser().resolve()
SECRET_KEY = secret.ensure(DATA_DIR)

# --- Serving ---------------------------------------------------------------------------------------------
DEBUG = _flag("STARTHORN_DEBUG", default=False)
# The laptop is reached by whatever address the venue's router gave it, so no host name can be listed ahead.
ALLOWED_HOSTS = ["*"]
HTTPS = _flag("STARTHORN_HTTPS", default=False)  # set when hosted behind a proxy that ends TLS
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if HTTPS else None
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = SECURE_SSL_REDIRECT = HTTPS
SECURE_HSTS_SECONDS = 3600 if HTTPS else 0
SECURE_REFERRER_POLICY = "same-origin"
# Browsers heed this header on encrypted pages only, and complain about it on every other.
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin" if HTTPS else None
X_FRAME_OPTIONS = "DENY"
SESSION_COOKIE_AGE = 5 * 24 * 3600  # an event lasts four days at most; nobody signs in twice
ROOT_URLCONF = "desk.urls"
WSGI_APPLICATION = "desk.wsgi.application"

# --- What is installed -----------------------------------------------------------------------------------
INSTALLED_APPS = [
    "desk",
    "scoring.report",
    "scoring.money",
    "scoring.games",
    "scoring.prizes",
    "scoring.playoffs",
    "scoring.ratings",
    "scoring.standings",
    "scoring.penalties",
    "scoring.cards",
    "events.logistics",
    "events.logistics.countdown",
    "events.logistics.crew",
    "events.logistics.things",
    "events.logistics.ready",
    "events.logistics.running",
    "events.logistics.incidents",
    "events.logistics.messages",
    "events.draw",
    "events.safety",
    "events.bags",
    "events.entries",
    "events.course",
    "events.setup",
    "players",
    "events.log",
    "django_tables2",
    "django_htmx",
    "axes",
    "csp",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django.forms",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "desk.plain_text.PlainText",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "desk.signin.BackToThePage",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "events.setup.access.EventMiddleware",
    "axes.middleware.AxesMiddleware",
]

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "desk.context.page",
            ],
            "builtins": ["desk.templatetags.figures"],
        },
    },
]
FORM_RENDERER = "django.forms.renderers.TemplatesSetting"
DJANGO_TABLES2_TEMPLATE = "django_tables2/starthorn.html"

# --- Database --------------------------------------------------------------------------------------------
# Without IMMEDIATE, two desks that read and then write collide (150 of 240 transactions failed when tried).
# synchronous=FULL: an acknowledged card survives a power cut.
DATABASES = {
    "default": dj_database_url.config(
        default=f"sqlite:///{DATA_DIR / 'starthorn.sqlite3'}", conn_max_age=600, conn_health_checks=True
    )
}
if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    DATABASES["default"]["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA foreign_keys=ON;",
    }
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

# --- People ----------------------------------------------------------------------------------------------
AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "django.contrib.auth.backends.ModelBackend",
]
AXES_FAILURE_LIMIT = 8
AXES_COOLOFF_TIME = 0.1  # hours: six minutes, long for a guesser, short for a volunteer
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_RESET_ON_SUCCESS = True
AXES_VERBOSE = False
AXES_LOCKOUT_TEMPLATE = "registration/locked.html"
LOGIN_URL = "sign_in"
LOGIN_REDIRECT_URL = "home"
LOGOUT_REDIRECT_URL = "sign_in"
AUTH_PASSWORD_VALIDATORS = [
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 10},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
]

# --- Counting requests ---------------------------------------------------------------------------------
# Of this process alone: enough for the limits of the groups' pages, one small entry a minute for each that asks.
CACHES = {
    "default": {
        "BACKEND": "django.core.cache.backends.locmem.LocMemCache",
        "OPTIONS": {"MAX_ENTRIES": 10_000},
    }
}

# --- Words and clocks ------------------------------------------------------------------------------------
LANGUAGE_CODE = "en"
TIME_ZONE = "UTC"  # pages switch to the zone of the event
USE_TZ = True
USE_I18N = False

# --- Files -----------------------------------------------------------------------------------------------
# A phone that was closed out on the course opens its page again without the laptop: its browser may keep the files
# for good, since their address changes with them.
STATIC_URL = f"static/{static_version(BASE_DIR / 'desk' / 'static', [BASE_DIR / 'requirements.lock'])}/"
WHITENOISE_MAX_AGE = 0 if DEBUG else 365 * 24 * 3600
WHITENOISE_USE_FINDERS = True
WHITENOISE_AUTOREFRESH = DEBUG
DATA_UPLOAD_MAX_MEMORY_SIZE = 12 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 5000  # a layout grid of 36 holes, a card grid, a mapping screen

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [SELF],
        "img-src": [SELF, "data:"],
        "object-src": [NONE],
        "base-uri": [SELF],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
    }
}

# A LAN without a name has no TLS to offer, so the deployment checks that demand it do not apply there.
SILENCED_SYSTEM_CHECKS = (
    [] if HTTPS else ["security.W004", "security.W008", "security.W012", "security.W016", "security.W019"]
)
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "handlers": {"console": {"class": "logging.StreamHandler"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
    # A page that is refused or not there is no fault of the program: the director's terminal stays quiet.
    "loggers": {"django.request": {"level": "ERROR"}, "django.security": {"level": "ERROR"}},
}
