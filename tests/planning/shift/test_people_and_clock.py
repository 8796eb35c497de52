"""Hands get names, pauses get their place, ticks get instants."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planning.shift.small_bakery import kitchen, person
from smallhours.errors import BadInput
from smallhours.planning.shift.clock import Clock, clock_for
from smallhours.planning.shift.people import Job, Presence, give_names, merged, pauses, presences

ZONE = ZoneInfo("Europe/Madrid")
NOON = dt.datetime(2026, 11, 26, 12, tzinfo=dt.UTC)


def there(name: str, *stretches: tuple[int, int]) -> Presence:
    """Somebody with these working stretches in ticks."""
    return Presence(kitchen(people=[person(name)]).people[0], stretches)


def test_work_goes_to_whoever_had_it_in_hand() -> None:
    """Hand: two jobs on one dough with a gap; whoever did the first does the second, although the other has rested."""
    jobs = [Job("mix", "dough", 0, 10), Job("shape", "dough", 20, 30), Job("other", "cake", 0, 10)]
    named = give_names(jobs, [there("ana", (0, 60)), there("ben", (0, 60))], [])
    assert named["mix"][0][0] == named["shape"][0][0]
    assert named["mix"][0][0] != named["other"][0][0]


def test_a_job_is_handed_over_as_late_as_can_be() -> None:
    """Hand: Ana goes at 30, Ben comes at 20: a job from 10 to 50 is hers until 30, then his."""
    named = give_names([Job("fold", "dough", 10, 50)], [there("ana", (0, 30)), there("ben", (20, 60))], [])
    assert named["fold"] == [("ana", 10, 30), ("ben", 30, 50)]


@given(st.lists(st.tuples(st.integers(0, 80), st.integers(1, 20)), max_size=12))
def test_nobody_is_ever_in_two_places(wanted: list[tuple[int, int]]) -> None:
    """Limit: jobs of which never more run at once than people are there are all covered, one person at a time."""
    present = [there("ana", (0, 60)), there("ben", (20, 100)), there("cleo", (40, 100))]
    jobs: list[Job] = []
    for number, (start, length) in enumerate(wanted):
        end = min(start + length, 100)
        jobs.append(Job(f"job{number}", "dough", start, end))
        if any(
            sum(job.start <= t < job.end for job in jobs) > sum(p.there(t, t + 1) for p in present) for t in range(100)
        ):
            jobs.pop()
    named = give_names(jobs, present, [])
    for job in jobs:
        assert sorted(t for _, a, b in named.get(job.task_id, []) for t in range(a, b)) == [*range(job.start, job.end)]
    held = [(who, t) for stretches in named.values() for who, a, b in stretches for t in range(a, b)]
    assert len(held) == len(set(held))
    at = {p.person.id: p for p in present}
    assert all(at[who].there(t, t + 1) for who, t in held)


def test_nobody_is_there_before_their_hours() -> None:
    """Hand: a clock that starts 30 s past a minute: a shift from 00:00 begins at its first whole tick after that, 30 s
    later, and ends at the last one before 08:00."""
    place = kitchen(people=[person("ana", "00:00:00", "08:00:00")])
    clock = Clock(NOON + dt.timedelta(seconds=30), 24 * 60)
    ((start, end),) = presences(place, clock)[0].stretches
    midnight = dt.datetime(2026, 11, 27, tzinfo=dt.UTC)
    assert clock.instant(start) - midnight == dt.timedelta(seconds=30)
    assert midnight + dt.timedelta(hours=8) - clock.instant(end) == dt.timedelta(seconds=30)


def test_stretches_that_touch_are_one() -> None:
    """Hand: 0-5 and 5-9 touch, 20-30 and 25-28 overlap."""
    assert merged([(20, 30), (0, 5), (25, 28), (5, 9)]) == ((0, 9), (20, 30))


def test_a_pause_past_midnight() -> None:
    """Hand: a shift from 00:00 to 08:00 and a pause of 20 min between 23:30 and 00:30: it lies between 00:00 and 00:30,
    12 h after noon."""
    rest = [{"earliest": "23:30:00", "latest": "00:30:00", "duration_s": 1200.0}]
    place = kitchen(people=[person("ana", "00:00:00", "08:00:00", breaks=rest)])
    clock = Clock(NOON, 24 * 60)
    (pause,) = pauses(place, presences(place, clock), clock)
    assert (pause.earliest, pause.latest, pause.ticks) == (720, 750, 20)


def test_a_pause_that_no_longer_fits_is_left_out() -> None:
    """Hand: 30 min between 07:45 and 09:00 do not fit a shift that ends at 08:00."""
    rest = [{"earliest": "07:45:00", "latest": "09:00:00", "duration_s": 1800.0}]
    place = kitchen(people=[person("ana", "00:00:00", "08:00:00", breaks=rest)])
    clock = Clock(NOON, 24 * 60)
    assert pauses(place, presences(place, clock), clock) == ()


def test_ticks_and_instants() -> None:
    """Round trip: a tick's instant is that tick; lengths are rounded up, instants down."""
    clock = Clock(NOON, 100)
    assert [clock.tick(clock.instant(t)) for t in (0, 7, 100)] == [0, 7, 100]
    assert (clock.length(61), clock.length(60), clock.length(0)) == (2, 1, 0)
    late = NOON + dt.timedelta(seconds=119)
    assert (clock.tick(late), clock.tick_after(late), clock.tick_after(NOON)) == (1, 2, 0)
    assert (clock.inside(-5), clock.inside(500)) == (0, 100)


def test_the_horizon_of_the_longest_and_shortest_night() -> None:
    """Hand: from noon to noon in Madrid is 25 h when summer time ends on 2026-10-25, 23 h when it begins on 2026-03-29;
    12 h follow."""
    assert clock_for(dt.date(2026, 10, 25), ZONE, None).ticks == (25 + 12) * 60
    assert clock_for(dt.date(2026, 3, 29), ZONE, None).ticks == (23 + 12) * 60


def test_a_plan_that_would_start_after_all_is_over() -> None:
    """Bad input: a start more than 12 h after everything is due is refused in one sentence."""
    with pytest.raises(BadInput, match="after everything of that night is due"):
        clock_for(dt.date(2026, 11, 26), ZONE, NOON, start=NOON + dt.timedelta(hours=13))
