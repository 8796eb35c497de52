"""The pages as an ASGI application, on the store that ``SMALLHOURS_HOME`` names (or the machine's default)."""

from __future__ import annotations

from smallhours.records.setup import open_store

open_store()

from django.core.asgi import get_asgi_application  # noqa: E402  (Django is ready only now)

application = get_asgi_application()
