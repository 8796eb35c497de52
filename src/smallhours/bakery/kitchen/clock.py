"""The kitchen's clock: what an instant is when all that was said is a date and a time on the wall."""

from __future__ import annotations

import datetime as dt
import zoneinfo


def instant(date: dt.date, time: dt.time, zone: zoneinfo.ZoneInfo) -> dt.datetime:
    """The instant (aware, UTC) of a date and a wall-clock time in ``zone``.

    In the two nights of the year in which the clocks change, the rule is to be on the safe side of a due time,
    which is the earlier one:

    * a time that is there twice (clocks go back) is its first occurrence;
    * a time that is never there (clocks go forward) is the moment at which the clock jumps over it.

    Source: the transition rules are those of the IANA time zone database, as ``zoneinfo`` reads them.

    >>> instant(dt.date(2026, 1, 15), dt.time(5, 30), zoneinfo.ZoneInfo("Europe/Madrid")).isoformat()
    '2026-01-15T04:30:00+00:00'
    """
    wall = dt.datetime.combine(date, time.replace(tzinfo=None, fold=0))
    first = (wall.replace(tzinfo=zone)).astimezone(dt.UTC)
    second = (wall.replace(tzinfo=zone, fold=1)).astimezone(dt.UTC)
    if second < first:  # in a gap, the offset before the jump reads later than the offset after it
        return _jump(second, first, zone)
    return first


def gap(date: dt.date, time: dt.time, zone: zoneinfo.ZoneInfo) -> tuple[dt.time, dt.time] | None:
    """If the clock jumps over a time on that date: from where to where; else None.

    >>> gap(dt.date(2026, 3, 29), dt.time(2, 30), zoneinfo.ZoneInfo("Europe/Madrid"))
    (datetime.time(2, 0), datetime.time(3, 0))
    """
    wall = dt.datetime.combine(date, time.replace(tzinfo=None, fold=0))
    before, after = (wall.replace(tzinfo=zone, fold=fold).astimezone(dt.UTC) for fold in (0, 1))
    if before <= after:
        return None
    jump = _jump(after, before, zone)
    old = (jump - dt.timedelta(seconds=1)).astimezone(zone).utcoffset()
    assert old is not None  # a zone of the database always has one
    return (jump + old).time(), jump.astimezone(zone).time()


def _jump(before: dt.datetime, after: dt.datetime, zone: zoneinfo.ZoneInfo) -> dt.datetime:
    """The whole second between two instants at which the zone's offset changes."""
    old = before.astimezone(zone).utcoffset()
    low, high = int(before.timestamp()), int(after.timestamp())
    while high - low > 1:
        middle = (low + high) // 2
        offset = dt.datetime.fromtimestamp(middle, dt.UTC).astimezone(zone).utcoffset()
        low, high = (middle, high) if offset == old else (low, middle)
    return dt.datetime.fromtimestamp(high, dt.UTC)
