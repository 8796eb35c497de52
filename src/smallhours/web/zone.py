"""Whose clock pages show."""

from __future__ import annotations

import zoneinfo

from smallhours.errors import NotFound
from smallhours.records import queries


def kitchen_zone() -> zoneinfo.ZoneInfo:
    """The kitchen's time zone; UTC while there is no kitchen."""
    try:
        return queries.kept_kitchen().document.zone()
    except NotFound:
        return zoneinfo.ZoneInfo("UTC")
