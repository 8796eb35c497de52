"""The one Django app with tables."""

from django.apps import AppConfig


class RecordsConfig(AppConfig):
    """Label ``records``."""

    name = "smallhours.records"
    label = "records"
    default_auto_field = "django.db.models.BigAutoField"
