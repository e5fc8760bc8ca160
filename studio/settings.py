"""Settings, all from the environment, safe for production unless told otherwise.

``DATABASE_URL`` (the app's role), ``REDIS_URL``, ``SECRET_KEY``, ``ALLOWED_HOSTS`` and ``SITE_URL`` must be given.
``PLAIN_HTTP=1`` allows http, on hosts of this machine only. README.md lists the rest.
"""

from __future__ import annotations

import os
from pathlib import Path

import pghistory
from celery.schedules import crontab
from csp.constants import NONE, SELF
from django.core.exceptions import ImproperlyConfigured

from studio.environment import database, flag, hosts, redis_cache, required

BASE_DIR = Path(__file__).resolve().parent.parent

# --- What is refused -----------------------------------------------------------------------------------------

DEBUG = flag("DEBUG")
PLAIN_HTTP = flag("PLAIN_HTTP")
DEMO = flag("DEMO")
"""Whether this is the demo, whose sign-in says what to try."""
OPEN_SIGN_UP = flag("OPEN_SIGN_UP")
"""Whether anybody may open a studio here; else only who was invited (`manage.py invite_owner`)."""
AS_OWNER = flag("BILLOWBOOK_AS_OWNER")
"""Set for ``migrate`` alone: the connection is the owner's, who makes tables but serves no pages."""

ALLOWED_HOSTS = hosts("ALLOWED_HOSTS")
LOCAL_HOSTS = {"localhost", "127.0.0.1", "[::1]", "testserver"}
if (DEBUG or PLAIN_HTTP) and set(ALLOWED_HOSTS) - LOCAL_HOSTS:
    raise ImproperlyConfigured(
        "DEBUG and PLAIN_HTTP are for this machine only: ALLOWED_HOSTS may then name "
        f"{', '.join(sorted(LOCAL_HOSTS))}, and no other host."
    )

SECRET_KEY = required("SECRET_KEY")
if len(SECRET_KEY) < 50 or len(set(SECRET_KEY)) < 5 or "insecure" in SECRET_KEY or "change" in SECRET_KEY:
    raise ImproperlyConfigured("SECRET_KEY must be 50 or more random characters of your own.")

# --- The application -----------------------------------------------------------------------------------------

ROOT_URLCONF = "studio.urls"
WSGI_APPLICATION = "studio.wsgi.application"
AUTH_USER_MODEL = "studio.Person"
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

INSTALLED_APPS = [
    "studio.apps.StudioConfig",
    "stock.apps.StockConfig",
    "events.apps.EventsConfig",
    "quoting.apps.QuotingConfig",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.humanize",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django.contrib.postgres",
    "django.forms",
    "allauth",
    "allauth.account",
    "allauth.mfa",
    "allauth.usersessions",
    "csp",
    "django_htmx",
    "template_partials",
    "pgtrigger",
    "pghistory",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.middleware.gzip.GZipMiddleware",
    "csp.middleware.CSPMiddleware",
    # Above whatever may answer by itself, so that refusals carry these headers as well.
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "studio.ui.middleware.private_pages",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "studio.people.body_limits.refuse_large_bodies",
    "django.contrib.messages.middleware.MessageMiddleware",
    "allauth.account.middleware.AccountMiddleware",
    "allauth.usersessions.middleware.UserSessionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "studio.ui.middleware.saved_drafts",
    "studio.ui.middleware.named_reader",
]

FORM_RENDERER = "django.forms.renderers.TemplatesSetting"
TEMPLATES: list[dict[str, object]] = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
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

# --- Data ----------------------------------------------------------------------------------------------------

DATABASES = {"default": database(required("DATABASE_URL"), pooled=not flag("UNPOOLED"))}
CACHES = {"default": redis_cache(required("REDIS_URL"))}
# The size of a whole body is studio/people/body_limits.py's business; this is what of it may be no file.
DATA_UPLOAD_MAX_MEMORY_SIZE = 4 * 1024 * 1024
FILE_UPLOAD_MAX_MEMORY_SIZE = 4 * 1024 * 1024
PGHISTORY_APPEND_ONLY = True
PGHISTORY_CONTEXT_FIELD = pghistory.ContextJSONField()
# Not the transaction's start, which all deeds of one transaction would share: the trail keeps their order.
PGHISTORY_CREATED_AT_FUNCTION = "CLOCK_TIMESTAMP()"

# How many times two cores and eight web threads there are: what one person may use at once grows with it.
WEB_CAPACITY = float(os.environ.get("WEB_CAPACITY", "1"))

# --- Signing in ----------------------------------------------------------------------------------------------

AUTHENTICATION_BACKENDS = ["allauth.account.auth_backends.AuthenticationBackend"]
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
LOGIN_URL = "account_login"
LOGIN_REDIRECT_URL = "/"
ACCOUNT_USER_MODEL_USERNAME_FIELD = None
ACCOUNT_LOGIN_METHODS = {"email"}
ACCOUNT_SIGNUP_FIELDS = ["email*", "password1*", "password2*"]
ACCOUNT_SIGNUP_FORM_CLASS = "studio.people.forms.JoinForm"
ACCOUNT_FORMS = {
    "login": "studio.people.account_forms.SignInForm",
    "signup": "studio.people.account_forms.SignUpForm",
    "reset_password": "studio.people.account_forms.ForgottenPasswordForm",
}
ACCOUNT_EMAIL_VERIFICATION = "mandatory"
ACCOUNT_ADAPTER = "studio.people.accounts.AccountAdapter"
ACCOUNT_PREVENT_ENUMERATION = True
# Each of these sends mail to an address that somebody typed.
ACCOUNT_RATE_LIMITS = {"manage_email": "5/m/user,20/d/user", "reset_password": "20/m/ip,5/m/key,20/d/key"}
ACCOUNT_LOGOUT_ON_PASSWORD_CHANGE = True
ACCOUNT_SESSION_REMEMBER = True
ACCOUNT_EMAIL_SUBJECT_PREFIX = ""
ACCOUNT_DEFAULT_HTTP_PROTOCOL = "http" if PLAIN_HTTP else "https"
ACCOUNT_USER_DISPLAY = "studio.people.accounts.display_name"
MFA_SUPPORTED_TYPES = ["totp", "webauthn", "recovery_codes"]
MFA_PASSKEY_LOGIN_ENABLED = True
MFA_TOTP_ISSUER = "Billowbook"
# Browsers offer passkeys on http for localhost only, which is what PLAIN_HTTP is for.
MFA_WEBAUTHN_ALLOW_INSECURE_ORIGIN = PLAIN_HTTP
USERSESSIONS_TRACK_ACTIVITY = False
SESSION_ENGINE = "django.contrib.sessions.backends.db"
SESSION_COOKIE_AGE = 60 * 60 * 24 * 30

# --- The wire ------------------------------------------------------------------------------------------------

SITE_URL = required("SITE_URL")
TRUSTED_PROXIES = int(os.environ.get("TRUSTED_PROXIES", "0" if PLAIN_HTTP else "1"))
ALLAUTH_TRUSTED_PROXY_COUNT = TRUSTED_PROXIES
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if TRUSTED_PROXIES else None
CSRF_TRUSTED_ORIGINS = [SITE_URL]
SECURE_SSL_REDIRECT = not PLAIN_HTTP
SECURE_REDIRECT_EXEMPT = [r"^health/"]
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = not PLAIN_HTTP
SECURE_HSTS_SECONDS = 0 if PLAIN_HTTP else 60 * 60 * 24 * 365
SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = not PLAIN_HTTP
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
CSRF_COOKIE_HTTPONLY = True
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF, "data:"],
        "font-src": [SELF],
        "connect-src": [SELF],
        "manifest-src": [SELF],
        "worker-src": [SELF],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
        "base-uri": [NONE],
    }
}

# --- Static files, language, time ----------------------------------------------------------------------------

STATIC_URL = "/static/"
STATIC_ROOT = os.environ.get("STATIC_ROOT", str(BASE_DIR / ".local" / "static"))
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"
        if flag("UNHASHED_STATIC")
        else "studio.ui.static_files.StaticFiles"
    },
}
# The office reads English, whatever its browser asks for; studio/measures/languages.py says who reads what.
LANGUAGE_CODE = "en"
LANGUAGES = [("en", "English"), ("de", "Deutsch")]
LOCALE_PATHS = [BASE_DIR / "locale"]
USE_I18N = True
TIME_ZONE = "UTC"
USE_TZ = True

# --- E-mail --------------------------------------------------------------------------------------------------

DEFAULT_FROM_EMAIL = os.environ.get("MAIL_FROM", "Billowbook <billowbook@localhost>")
if os.environ.get("MAIL_HOST"):
    EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    EMAIL_HOST = os.environ["MAIL_HOST"]
    EMAIL_PORT = int(os.environ.get("MAIL_PORT", "587"))
    EMAIL_HOST_USER = os.environ.get("MAIL_USER", "")
    EMAIL_HOST_PASSWORD = os.environ.get("MAIL_PASSWORD", "")
    EMAIL_USE_TLS = flag("MAIL_TLS", default=True)
    EMAIL_TIMEOUT = 20
else:
    EMAIL_BACKEND = "django.core.mail.backends.filebased.EmailBackend"
    EMAIL_FILE_PATH = os.environ.get("MAIL_FOLDER", str(BASE_DIR / ".local" / "mail"))

# --- The worker ----------------------------------------------------------------------------------------------

CELERY_BROKER_URL = os.environ["REDIS_URL"].replace("unix://", "redis+socket://")
CELERY_RESULT_BACKEND = CELERY_BROKER_URL
CELERY_TASK_ACKS_LATE = True
# What may take many seconds waits in a line of its own, so that mails and papers never wait behind it.
CELERY_TASK_ROUTES = {
    name: {"queue": "heavy"}
    for name in ("events.plan_days", "quoting.fit_*", "stock.check_table", "stock.import_table")
}
# Stills take a minute or two of all cores: one at a time, in a line of their own.
STILLS = flag("STILLS")
CELERY_TASK_ROUTES["quoting.render_still"] = {"queue": "stills"}
CELERY_TASK_ANNOTATIONS = {"quoting.render_still": {"time_limit": 660, "soft_time_limit": 600}}
CELERY_TASK_REJECT_ON_WORKER_LOST = True
CELERY_TASK_TIME_LIMIT = 120
CELERY_TASK_SOFT_TIME_LIMIT = 90
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_RESULT_EXPIRES = 3600
# The visibility timeout stays above the hard time limit, or a slow task would run twice side by side.
CELERY_BROKER_TRANSPORT_OPTIONS = {
    "visibility_timeout": 720,
    "unacked_restore_interval": 2,
    "unacked_restore_throttle": 1,
}
CELERY_BEAT_SCHEDULE = {
    "sweep the outbox": {"task": "studio.sweep_outbox", "schedule": 30.0},
    "look over the shelves": {"task": "stock.look_over_shelves", "schedule": 300.0},
    "add up the ledgers": {"task": "stock.add_up_ledgers", "schedule": crontab(hour="3", minute="20")},
    "let papers go": {"task": "studio.let_papers_go", "schedule": crontab(hour="3", minute="40")},
    "let stills go": {"task": "quoting.let_stills_go", "schedule": crontab(hour="3", minute="50")},
    "lapse offers": {"task": "quoting.lapse_offers", "schedule": 300.0},
    "issue instalments in time": {"task": "quoting.issue_instalments", "schedule": 3600.0},
    "remind of overdue invoices": {"task": "quoting.remind_overdue", "schedule": 3600.0},
}
CELERY_TIMEZONE = "UTC"

LOGGING: dict[str, object] = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "%(asctime)s %(levelname)s %(name)s %(message)s"}},
    "filters": {"mask secrets": {"()": "studio.logs.MaskSecrets"}},
    "handlers": {
        "console": {"class": "logging.StreamHandler", "formatter": "line", "filters": ["mask secrets"]}
    },
    "root": {"handlers": ["console"], "level": os.environ.get("LOG_LEVEL", "INFO")},
    "loggers": {"fontTools": {"level": "WARNING"}, "weasyprint": {"level": "ERROR"}},
}
