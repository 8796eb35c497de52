"""Which night is meant when nobody says, and where it may begin."""

from __future__ import annotations

import datetime as dt

from smallhours.bakery.kitchen.document import Kitchen


def coming_night(kitchen: Kitchen, now: dt.datetime) -> dt.date:
    """The coming night, named by the day on which its bake is sold: tomorrow on the kitchen's clock."""
    return now.astimezone(kitchen.zone()).date() + dt.timedelta(days=1)
