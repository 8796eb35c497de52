"""Django's settings: wiring only.

``records.setup.open_store`` names the store and puts its key in place of the passing one here. Without it, only a
store that ``SMALLHOURS_HOME`` names can be reached; there is no silent default.
"""

from __future__ import annotations

import os
import secrets
from pathlib import Path

from smallhours.records.home import HOME_VARIABLE, STORE_FILE

WEB = Path(__file__).parent

SECRET_KEY = secrets.token_urlsafe(50)
DEBUG = False
ALLOWED_HOSTS = ["localhost", "127.0.0.1", "[::1]"]

INSTALLED_APPS = [
    "django.contrib.contenttypes",  # asked for by auth
    "django.contrib.auth",
    "django.contrib.sessions",
    "django.contrib.staticfiles",
    "django_htmx",
    "smallhours.records",
    "smallhours.web",
]
MIDDLEWARE = [
    "smallhours.web.middleware.content_security",
    "smallhours.web.middleware.host_is_ours",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "smallhours.web.middleware.language",
    "smallhours.web.signing.Signing",  # before the token of forms is looked at: who is a stranger is asked to sign in
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
]
ROOT_URLCONF = "smallhours.web.urls"
ASGI_APPLICATION = "smallhours.web.asgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [WEB / "templates"],
        "OPTIONS": {
            "context_processors": ["smallhours.web.context.page"],
            "builtins": ["smallhours.web.templatetags.shown", "django.templatetags.static"],
        },
    }
]

DATABASES = {
    "default": {
        "ENGINE": "django.db.backends.sqlite3",
        "NAME": str(Path(os.environ[HOME_VARIABLE]).expanduser() / STORE_FILE) if HOME_VARIABLE in os.environ else "",
        "OPTIONS": {
            "transaction_mode": "IMMEDIATE",
            "timeout": 5,
            # recursive_triggers: REPLACE must not slip past the triggers that keep tables append-only
            "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL; PRAGMA foreign_keys=ON; "
            "PRAGMA recursive_triggers=ON;",
        },
    }
}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "records.Person"
AUTHENTICATION_BACKENDS = ["smallhours.web.signing.StillHere"]
PASSWORD_HASHERS = ["django.contrib.auth.hashers.ScryptPasswordHasher"]  # slow and large on purpose, needs no package
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {
        "NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator",
        "OPTIONS": {"user_attributes": ("name",)},
    },
]
SESSION_ENGINE = "django.contrib.sessions.backends.db"
SESSION_COOKIE_NAME = "smallhours-session"
SESSION_COOKIE_AGE = 12 * 3600  # a long shift
SESSION_COOKIE_SAMESITE = "Lax"
TABLET_IDLE_S = 600  # after which a shared tablet asks again who is there
CSRF_COOKIE_NAME = "smallhours-form"
CSRF_COOKIE_HTTPONLY = True
CSRF_COOKIE_AGE = None
CSRF_FAILURE_VIEW = "smallhours.web.views.faults.stale_form"
LAN_ADDRESS = ""  # where tablets reach the pages, if a local network is served
ROOT_CERTIFICATE = ""  # PEM, if the certificate is our own

PLAN_COMMAND = "smallhours plan"  # what a page without a plan tells to type; whoever serves the pages knows better

RESTORE_COMMAND = "smallhours restore FILE"

USE_TZ = True
TIME_ZONE = "UTC"
USE_I18N = False

FILE_UPLOAD_HANDLERS = ["smallhours.web.uploads.SmallFiles"]
DATA_UPLOAD_MAX_MEMORY_SIZE = 8_000_000  # a pasted table, or one as it comes back to be confirmed
DATA_UPLOAD_MAX_NUMBER_FIELDS = 20_000  # a week of orders: a field for each line and day

STATIC_URL = "/static/"
WHITENOISE_USE_FINDERS = True
WHITENOISE_AUTOREFRESH = False
SILENCED_SYSTEM_CHECKS = ["security.W004", "security.W008"]  # https is not used on loopback
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
LOGGING_CONFIG = None
