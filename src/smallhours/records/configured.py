"""Django, ready: imported before the first model, so that records can be imported like any other module.

Which store is read and written is said by ``setup.open_store``; until then there is none, unless the environment
names one.
"""

from __future__ import annotations

import os

SETTINGS_MODULE = "smallhours.web.settings"


def configure() -> None:
    """Set Django up once. Does nothing while Django itself is loading the models."""
    import django
    from django.apps import apps

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", SETTINGS_MODULE)
    if not apps.ready and not apps.app_configs:
        django.setup()


configure()
