"""What time it is: handed to every verb, so that a test can say it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

Clock = Callable[[], dt.datetime]


def now() -> dt.datetime:
    """The present instant, aware, in UTC."""
    return dt.datetime.now(dt.UTC)
