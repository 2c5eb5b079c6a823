"""Settings of Resinwright, read from the environment; `.env.example` lists every name.

Long because: one flat file of plain settings is easier to search than several.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Any

import django_stubs_ext
import environ
from celery.schedules import crontab
from csp.constants import NONE, SELF

from config import env

django_stubs_ext.monkeypatch()

BASE_DIR = Path(__file__).resolve().parent.parent
PRODUCTION = env.flag("RESINWRIGHT_PRODUCTION")
DEBUG = env.flag("RESINWRIGHT_DEBUG")
TESTING = "pytest" in sys.modules
VAR = Path(env.text("RESINWRIGHT_VAR") or BASE_DIR / "var")
VAR.mkdir(parents=True, exist_ok=True)
SECRET_KEY = env.secret(
    "RESINWRIGHT_SECRET_KEY",
    production=PRODUCTION,
    fallback=VAR / "secret",
)

# -- who may reach us ------------------------------------------------------------------------
ALLOWED_HOSTS = env.words("RESINWRIGHT_HOSTS", ("localhost", "127.0.0.1", "[::1]"))
CSRF_TRUSTED_ORIGINS = env.words("RESINWRIGHT_TRUSTED_ORIGINS")
BASE_URL = env.text("RESINWRIGHT_BASE_URL", "http://127.0.0.1:8000").rstrip("/")
HTTPS = env.flag("RESINWRIGHT_HTTPS", default=PRODUCTION)
BEHIND_PROXY = env.flag("RESINWRIGHT_BEHIND_PROXY", default=PRODUCTION)

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django.contrib.humanize",
    "django.forms",
    "allauth",
    "allauth.account",
    "axes",
    "csp",
    "django_filters",
    "django_htmx",
    "django_tables2",
    "template_partials",
    "jobs",
    "stock",
    "quotes",
    "config",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "allauth.account.middleware.AccountMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "jobs.kernel.middleware.FirmClockMiddleware",
    "jobs.kernel.middleware.PossibleIdsMiddleware",
    "axes.middleware.AxesMiddleware",
]

ROOT_URLCONF = "config.urls"
WSGI_APPLICATION = "config.wsgi.application"
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

TEMPLATES: list[dict[str, Any]] = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "config.navigation.navigation",
            ],
            "builtins": [
                "jobs.kernel.templatetags.firm",
                "template_partials.templatetags.partials",
            ],
        },
    },
]
FORM_RENDERER = "jobs.kernel.renderer.FieldBookRenderer"
DJANGO_TABLES2_TEMPLATE = "django_tables2/fieldbook.html"
# What a filter says that is not used; a filter with a better word gives its own.
FILTERS_EMPTY_CHOICE_LABEL = "any"

# -- data ------------------------------------------------------------------------------------
SQLITE_OPTIONS = {
    # IMMEDIATE serialises writers, so that a read-then-write never loses an update here.
    "transaction_mode": "IMMEDIATE",
    "timeout": 20,
    "init_command": (
        "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL; "
        "PRAGMA cache_size=-20000; PRAGMA temp_store=MEMORY;"
    ),
}
DATABASES: dict[str, dict[str, Any]] = {
    "default": environ.Env.db_url_config(
        env.text("DATABASE_URL") or f"sqlite:///{VAR / 'resinwright.sqlite3'}"
    )
}
ON_SQLITE = DATABASES["default"]["ENGINE"].endswith("sqlite3")
DATABASES["default"] |= {"CONN_MAX_AGE": 60, "ATOMIC_REQUESTS": False}
if ON_SQLITE:
    DATABASES["default"]["OPTIONS"] = SQLITE_OPTIONS
    # A file, not memory: threads of one test must share it; its own for each run.
    DATABASES["default"]["TEST"] = {"NAME": str(VAR / f"test-{os.getpid()}.sqlite3")}
else:
    DATABASES["default"]["CONN_HEALTH_CHECKS"] = True
REDIS_URL = env.text("REDIS_URL")
CACHES: dict[str, dict[str, Any]]
if REDIS_URL:
    CACHES = {
        "default": {"BACKEND": "django.core.cache.backends.redis.RedisCache", "LOCATION": REDIS_URL}
    }
else:
    CACHES = {
        "default": {
            "BACKEND": "django.core.cache.backends.filebased.FileBasedCache",
            "LOCATION": str(VAR / "cache"),
        }
    }

# -- who you are -----------------------------------------------------------------------------
AUTH_USER_MODEL = "jobs.User"
AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "allauth.account.auth_backends.AuthenticationBackend",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 10},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
PASSWORD_HASHERS = (
    ["django.contrib.auth.hashers.MD5PasswordHasher"]
    if TESTING
    else [
        "django.contrib.auth.hashers.Argon2PasswordHasher",
        "django.contrib.auth.hashers.PBKDF2PasswordHasher",
    ]
)
LOGIN_URL = "account_login"
LOGIN_REDIRECT_URL = "today:today"
LOGOUT_REDIRECT_URL = "account_login"
ACCOUNT_ADAPTER = "jobs.accounts.adapter.InvitedOnlyAdapter"
ACCOUNT_LOGIN_METHODS = {"email"}
ACCOUNT_SIGNUP_FIELDS = ["email*", "password1*", "password2*"]
ACCOUNT_USER_MODEL_USERNAME_FIELD = None
ACCOUNT_EMAIL_VERIFICATION = "none"
ACCOUNT_SESSION_REMEMBER = True
ACCOUNT_LOGOUT_ON_GET = False
ACCOUNT_EMAIL_SUBJECT_PREFIX = ""
ACCOUNT_PREVENT_ENUMERATION = True
# Strangers get no mail from us: it would offer a sign-up, and there is none.
ACCOUNT_EMAIL_UNKNOWN_ACCOUNTS = False
ACCOUNT_FORMS = {
    "login": "config.accountforms.LogInForm",
    "change_password": "config.accountforms.ChangePasswordForm",
    "set_password": "config.accountforms.SetPasswordForm",
    "reset_password": "config.accountforms.ResetPasswordForm",
    "reset_password_from_key": "config.accountforms.ResetPasswordKeyForm",
    "reauthenticate": "config.accountforms.ReauthenticateForm",
}
AXES_FAILURE_LIMIT = env.whole("RESINWRIGHT_LOGIN_TRIES", 8, least=1)
AXES_COOLOFF_TIME = 0.25  # hours
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_USERNAME_CALLABLE = "jobs.accounts.adapter.tried_address"
AXES_LOCKOUT_TEMPLATE = "account/locked.html"
AXES_RESET_ON_SUCCESS = True
AXES_VERBOSE = False
AXES_ENABLED = not TESTING
AXES_IPWARE_PROXY_COUNT = 1 if BEHIND_PROXY else None

# -- what a browser may do -------------------------------------------------------------------
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
X_FRAME_OPTIONS = "DENY"
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
CSRF_COOKIE_HTTPONLY = True
CSRF_FAILURE_VIEW = "config.views.csrf_failure"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = HTTPS
SECURE_SSL_REDIRECT = HTTPS
SECURE_REDIRECT_EXEMPT = [r"^healthz$"]
SECURE_HSTS_SECONDS = 31_536_000 if HTTPS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = HTTPS
if BEHIND_PROXY:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")

# -- words, days and figures -----------------------------------------------------------------
LANGUAGE_CODE = "en-gb"
TIME_ZONE = "Europe/London"
USE_TZ = True
USE_I18N = True
USE_THOUSAND_SEPARATOR = False
FORMAT_MODULE_PATH = ["config.formats"]
FIRM_NAME = env.text("RESINWRIGHT_FIRM_NAME", "Resinwright")
# What stands on VAT invoices. Outside production invented figures serve; in production none is
# guessed, and no VAT invoice is issued before they are set.
FIRM_ADDRESS = env.text(
    "RESINWRIGHT_FIRM_ADDRESS", "" if PRODUCTION else "3 Tarn Yard, Orrford OR9 1ZZ"
)
FIRM_VAT_NUMBER = env.text("RESINWRIGHT_FIRM_VAT_NUMBER", "" if PRODUCTION else "GB999999973")
FIRM_UTR = env.text("RESINWRIGHT_FIRM_UTR", "" if PRODUCTION else "2234567890")
# Where customers pay to, in one line; it is said where money is asked for.
FIRM_BANK = env.text(
    "RESINWRIGHT_FIRM_BANK", "" if PRODUCTION else "Tarn Bank, 00-00-00, account 00000000"
)
# Our own tax reference as an employer and contractor: it stands on the statements that
# subcontractors get.
FIRM_EMPLOYER_REFERENCE = env.text(
    "RESINWRIGHT_FIRM_EMPLOYER_REFERENCE", "" if PRODUCTION else "123/AB456"
)
# What contractors keep back from our payments under CIS, in per cent: 20, 30 or 0.
FIRM_CIS_PERCENT = env.text("RESINWRIGHT_FIRM_CIS_PERCENT", "20")

# -- files -----------------------------------------------------------------------------------
STATIC_URL = "/static/"
STATICFILES_DIRS = [BASE_DIR / "config" / "static"]
STATIC_ROOT = Path(env.text("RESINWRIGHT_STATIC_ROOT") or VAR / "static")
MEDIA_ROOT = VAR / "media"
MEDIA_URL = "/media-is-served-by-permission/"
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"
        if PRODUCTION
        else "django.contrib.staticfiles.storage.StaticFilesStorage"
    },
}
# Outside production the finders serve the files, so that a clean clone needs no collectstatic.
WHITENOISE_USE_FINDERS = not PRODUCTION
WHITENOISE_AUTOREFRESH = DEBUG
if PRODUCTION:
    WHITENOISE_KEEP_ONLY_HASHED_FILES = True
STATIC_ROOT.mkdir(parents=True, exist_ok=True)
DATA_UPLOAD_MAX_MEMORY_SIZE = 12 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 4000
ATTACHMENT_MAX_BYTES = env.whole("RESINWRIGHT_ATTACHMENT_MAX_MB", 10, least=1) * 1024 * 1024

# -- mail ------------------------------------------------------------------------------------
EMAIL_HOST = env.text("EMAIL_HOST")
EMAIL_PORT = env.whole("EMAIL_PORT", 587, least=1)
EMAIL_HOST_USER = env.text("EMAIL_HOST_USER")
EMAIL_HOST_PASSWORD = env.text("EMAIL_HOST_PASSWORD")
EMAIL_USE_TLS = env.flag("EMAIL_USE_TLS", default=bool(EMAIL_HOST))
EMAIL_TIMEOUT = env.whole("EMAIL_TIMEOUT", 20, least=1)
EMAIL_FILE_PATH = str(VAR / "mail")
EMAIL_BACKEND = (
    "django.core.mail.backends.smtp.EmailBackend"
    if EMAIL_HOST
    else "jobs.outbox.filemail.EmailBackend"
)
DEFAULT_FROM_EMAIL = env.text("RESINWRIGHT_MAIL_FROM", "office@resinwright.example")

# -- text messages: off unless a gateway is named -----------------------------------------------
# 'http', 'file', or the dotted name of a module of your own with a class Gateway.
TEXT_GATEWAY = env.text("RESINWRIGHT_TEXT_GATEWAY")
TEXT_GATEWAY_URL = env.text("RESINWRIGHT_TEXT_GATEWAY_URL")
TEXT_GATEWAY_TOKEN = env.text("RESINWRIGHT_TEXT_GATEWAY_TOKEN")
TEXT_GATEWAY_TIMEOUT = env.whole("RESINWRIGHT_TEXT_GATEWAY_TIMEOUT", 10, least=1)
TEXT_FILE_PATH = str(VAR / "texts")

# -- work in the background ------------------------------------------------------------------
CELERY_BROKER_URL = env.text("CELERY_BROKER_URL", "filesystem://localhost")
if CELERY_BROKER_URL.startswith("filesystem:"):
    QUEUE = VAR / "queue"
    for folder in ("in", "processed", "control"):
        (QUEUE / folder).mkdir(parents=True, exist_ok=True)
    CELERY_BROKER_TRANSPORT_OPTIONS: dict[str, Any] = {
        # One folder for both ways: what one process sends, another of ours reads.
        "data_folder_in": str(QUEUE / "in"),
        "data_folder_out": str(QUEUE / "in"),
        "processed_folder": str(QUEUE / "processed"),
        "control_folder": str(QUEUE / "control"),
        "polling_interval": 0.2,
    }
else:
    CELERY_BROKER_TRANSPORT_OPTIONS = {"visibility_timeout": 3600, "unacked_restore_throttle": 1}
CELERY_TASK_IGNORE_RESULT = True
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_TASK_ACKS_LATE = True
CELERY_TIMEZONE = TIME_ZONE
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_WORKER_HIJACK_ROOT_LOGGER = False
# How often the sweeps look for work that a lost message left; the demo shortens it.
SWEEP_SECONDS = env.whole("RESINWRIGHT_SWEEP_SECONDS", 300, least=5)
CELERY_BEAT_SCHEDULE_FILENAME = str(VAR / "beat-schedule")
CELERY_BEAT_SCHEDULE: dict[str, Any] = {
    "outbox": {"task": "jobs.outbox.sweep", "schedule": SWEEP_SECONDS},
    "invoice-pdfs": {"task": "jobs.billing.sweep", "schedule": SWEEP_SECONDS},
    "quote-pdfs": {"task": "quotes.documents.sweep", "schedule": SWEEP_SECONDS},
    "quote-links": {"task": "quotes.acceptance.sweep", "schedule": SWEEP_SECONDS},
    "variations": {"task": "quotes.variations.sweep", "schedule": SWEEP_SECONDS},
    "quote-reminders": {"task": "quotes.chasing.sweep", "schedule": SWEEP_SECONDS},
    "quote-prices": {"task": "quotes.chasing.prices", "schedule": crontab(hour="5", minute="45")},
    "findings": {"task": "jobs.calendar.sweep_findings", "schedule": SWEEP_SECONDS},
    "proposals": {"task": "stock.allocation.sweep", "schedule": SWEEP_SECONDS},
    "conditions": {"task": "stock.conditions.sweep", "schedule": SWEEP_SECONDS},
    "cutoffs": {"task": "stock.ordering.sweep", "schedule": SWEEP_SECONDS},
    "reorder": {"task": "stock.reorder.daily", "schedule": crontab(hour="5", minute="30")},
    "reorder missed": {"task": "stock.reorder.sweep", "schedule": SWEEP_SECONDS},
    "orphans": {
        "task": "jobs.attachments.sweep_orphans",
        "schedule": crontab(hour="3", minute="20"),
    },
}

# The page that shows every element once, for people who build screens.
STYLE_PAGE = env.flag("RESINWRIGHT_STYLE_PAGE", default=DEBUG or TESTING)

LOGGING: dict[str, Any] = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "%(asctime)s %(levelname)s %(name)s %(message)s"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["console"], "level": env.text("RESINWRIGHT_LOG_LEVEL", "WARNING")},
}
SILENCED_SYSTEM_CHECKS = ["auth.W004"]  # unique on Lower(email), which the check cannot see
