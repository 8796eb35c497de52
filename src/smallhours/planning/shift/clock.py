"""From instants to whole ticks and back: the night's horizon on a clock that does not jump.

Ticks count elapsed time in UTC, so a night in which the clocks change is simply an hour longer or shorter on
the wall and exactly as long in the plan.
"""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from smallhours.bakery.kitchen.clock import instant as wall_instant
from smallhours.errors import BadInput

HOURS_AFTER_LAST_DUE = 12
HOURS_WHERE_NOTHING_FITS = 36


@dataclass(frozen=True)
class Clock:
    """The horizon of a plan: where it starts (UTC), how many ticks it has, how long a tick is in seconds."""

    start: dt.datetime
    ticks: int
    tick_s: int = 60

    def tick(self, instant: dt.datetime) -> int:
        """The tick at or before an instant (may lie outside the horizon)."""
        return math.floor((instant - self.start).total_seconds() / self.tick_s)

    def tick_after(self, instant: dt.datetime) -> int:
        """The tick at or after an instant: nobody is there before their hours begin."""
        return math.ceil((instant - self.start).total_seconds() / self.tick_s)

    def instant(self, tick: int) -> dt.datetime:
        """The instant of a tick, in UTC."""
        return self.start + dt.timedelta(seconds=tick * self.tick_s)

    def length(self, duration_s: float) -> int:
        """Ticks that a duration takes, rounded up: a stage is never planned shorter than it needs."""
        return math.ceil(round(duration_s / self.tick_s, 6))

    def inside(self, tick: int) -> int:
        """The tick moved into the horizon."""
        return min(max(tick, 0), self.ticks)


def clock_for(
    night: dt.date,
    zone: ZoneInfo,
    last_due: dt.datetime | None,
    start: dt.datetime | None = None,
    tick_s: int = 60,
    hours_after: int = HOURS_AFTER_LAST_DUE,
) -> Clock:
    """The clock of the night that ends on the morning of ``night``.

    It starts at noon the day before (or at ``start``) and runs ``hours_after`` past the last due time, so that late
    work has room to be shown as late. Raises BadInput when it would start after everything is due.
    """
    begin = start or wall_instant(night - dt.timedelta(days=1), dt.time(12), zone)
    end = (last_due or wall_instant(night, dt.time(12), zone)) + dt.timedelta(hours=hours_after)
    if begin >= end:
        raise BadInput(f"the plan would start at {begin:%Y-%m-%d %H:%M} UTC, after everything of that night is due")
    return Clock(begin, math.ceil((end - begin).total_seconds() / tick_s), tick_s)
