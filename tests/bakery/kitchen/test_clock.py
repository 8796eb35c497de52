"""A wall-clock time is one instant, also in the nights in which the clocks change."""

from __future__ import annotations

import datetime as dt
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest

from smallhours.bakery.kitchen.clock import gap, instant

MADRID = ZoneInfo("Europe/Madrid")


@pytest.mark.parametrize(
    ("date", "time", "expected"),
    [
        # Directive 2000/84/EC: summer time begins on the last Sunday of March and ends on the last Sunday of
        # October, both at 01:00 UTC.
        (dt.date(2026, 3, 29), dt.time(1, 59), "2026-03-29T00:59:00+00:00"),
        (dt.date(2026, 3, 29), dt.time(2, 0), "2026-03-29T01:00:00+00:00"),
        (dt.date(2026, 3, 29), dt.time(2, 30), "2026-03-29T01:00:00+00:00"),
        (dt.date(2026, 3, 29), dt.time(3, 0), "2026-03-29T01:00:00+00:00"),
        (dt.date(2026, 3, 29), dt.time(6, 0), "2026-03-29T04:00:00+00:00"),
        (dt.date(2026, 10, 25), dt.time(1, 59), "2026-10-24T23:59:00+00:00"),
        (dt.date(2026, 10, 25), dt.time(2, 30), "2026-10-25T00:30:00+00:00"),
        (dt.date(2026, 10, 25), dt.time(3, 0), "2026-10-25T02:00:00+00:00"),
        (dt.date(2026, 10, 25), dt.time(6, 0), "2026-10-25T05:00:00+00:00"),
    ],
)
def test_both_clock_changes(date: dt.date, time: dt.time, expected: str) -> None:
    """Published: the European Union's clock changes of 2026 (Directive 2000/84/EC, articles 2 and 3)."""
    assert instant(date, time, MADRID).isoformat() == expected


def test_half_hour_jump() -> None:
    """Published: Lord Howe Island goes forward by 30 min at 02:00 (IANA tz database, zone Australia/Lord_Howe)."""
    zone = ZoneInfo("Australia/Lord_Howe")
    jump = instant(dt.date(2026, 10, 4), dt.time(2, 10), zone)
    assert jump == instant(dt.date(2026, 10, 4), dt.time(2, 30), zone)
    assert jump.isoformat() == "2026-10-03T15:30:00+00:00"


def test_never_later_than_the_wall_says() -> None:
    """Behaviour: going through every minute of both nights, instants never run backwards."""
    for date in (dt.date(2026, 3, 29), dt.date(2026, 10, 25)):
        instants = [instant(date, dt.time(m // 60, m % 60), MADRID) for m in range(24 * 60)]
        assert all(a <= b for a, b in pairwise(instants))


@pytest.mark.parametrize(
    ("zone", "date", "time", "expected"),
    [
        ("Europe/Madrid", dt.date(2026, 3, 29), dt.time(2, 30), (dt.time(2), dt.time(3))),
        ("Europe/Madrid", dt.date(2026, 3, 29), dt.time(3, 0), None),
        ("Europe/Madrid", dt.date(2026, 10, 25), dt.time(2, 30), None),
        ("Australia/Lord_Howe", dt.date(2026, 10, 4), dt.time(2, 15), (dt.time(2), dt.time(2, 30))),
        ("America/New_York", dt.date(2026, 3, 8), dt.time(2, 59), (dt.time(2), dt.time(3))),
    ],
)
def test_times_the_clock_jumps_over(
    zone: str, date: dt.date, time: dt.time, expected: tuple[dt.time, dt.time] | None
) -> None:
    """Published: IANA time zone database 2025b, rules EU (1:00u, last Sunday of March), LH (half an hour) and US
    (2:00, second Sunday of March)."""
    assert gap(date, time, ZoneInfo(zone)) == expected
