"""Elapsed time on the drawing: where an instant stands, and which local hours to write there."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

_QUARTER = dt.timedelta(minutes=15)


@dataclass(frozen=True)
class Tick:
    """A full local hour: its instant, its label, and by how much the clocks have just changed (0 as a rule)."""

    at: dt.datetime
    label: str
    change_s: float = 0.0


@dataclass(frozen=True)
class TimeScale:
    """Maps instants to x: linear in elapsed time, whatever the clocks do.

    ``start``..``end`` (aware instants) stand at ``left``..``right`` (mm).
    """

    start: dt.datetime
    end: dt.datetime
    left: float
    right: float
    zone: dt.tzinfo

    def x(self, at: dt.datetime) -> float:
        """Where the instant stands, mm."""
        share = (at - self.start) / (self.end - self.start)
        return self.left + share * (self.right - self.left)

    def at(self, x: float) -> dt.datetime:
        """The instant that stands at x."""
        return self.start + (self.end - self.start) * ((x - self.left) / (self.right - self.left))

    def mm_per_hour(self) -> float:
        """Length of an hour, mm."""
        return (self.right - self.left) / ((self.end - self.start).total_seconds() / 3600)

    def ticks(self) -> list[Tick]:
        """Every full local hour between start and end; an hour the clocks repeat comes twice, a skipped one never."""
        quarter = _QUARTER.total_seconds()
        first = dt.datetime.fromtimestamp(-(-self.start.timestamp() // quarter) * quarter, dt.UTC)
        found = []
        at = first
        while at <= self.end:
            local = at.astimezone(self.zone)
            if local.minute == 0:
                before = (at - _QUARTER).astimezone(self.zone).utcoffset()
                now = local.utcoffset()
                change = (now - before).total_seconds() if now is not None and before is not None else 0.0
                found.append(Tick(at, f"{local:%H:%M}", change))
            at += _QUARTER
        return found

    def midnights(self) -> list[dt.datetime]:
        """Every local midnight between start and end."""
        return [tick.at for tick in self.ticks() if tick.label == "00:00"]
