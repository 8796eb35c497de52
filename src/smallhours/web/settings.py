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

INSTALLED_APPS = ["django.contrib.staticfiles", "django_htmx", "smallhours.records", "smallhours.web"]
MIDDLEWARE = [
    "smallhours.web.middleware.content_security",
    "smallhours.web.middleware.host_is_loopback",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "smallhours.web.middleware.language",
]
ROOT_URLCONF = "smallhours.web.urls"
WSGI_APPLICATION = "smallhours.web.wsgi.application"
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

PLAN_COMMAND = "smallhours plan"  # what a page without a plan tells to type; whoever serves the pages knows better

USE_TZ = True
TIME_ZONE = "UTC"
USE_I18N = False

STATIC_URL = "/static/"
WHITENOISE_USE_FINDERS = True
WHITENOISE_AUTOREFRESH = False
SILENCED_SYSTEM_CHECKS = ["security.W004", "security.W008"]  # https is not used on loopback
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
LOGGING_CONFIG = None
