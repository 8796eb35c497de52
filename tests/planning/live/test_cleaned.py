"""Allergen order while the night runs: what has touched a mixer or bench by now is not forgotten."""

from __future__ import annotations

import pytest

from planning.live.test_replan import anew, at, places
from planning.shift.small_bakery import kitchen, order, planned, task
from planning.shift.test_allergen_order import BENCH, NUTTY, PLAIN, _cleanings, _mixer
from planning.sound import wrong_with
from smallhours.planning.plan import Plan

PLACE = kitchen(mixers=[_mixer(20)], benches=[BENCH])
BOTH = (NUTTY, PLAIN)


def _wrong_with(plan: Plan) -> list[str]:
    """What is wrong with work, hands and allergens; links of what is over are not kept in a plan made anew."""
    said = wrong_with(plan.model_copy(update={"happened": None}), PLACE, {f.id: f for f in BOTH})
    return [wrong for wrong in said if "nothing holds" not in wrong]


@pytest.mark.parametrize("minute", [5, 15, 60, 72, 85, 120])
def test_what_goes_as_planned_stays_as_planned(minute: int) -> None:
    """Behaviour: the nutty bread is first and mixer and bench are cleaned after it; asked at any time, also in the
    middle of a cleaning, nothing moves and the plan is sound."""
    before = planned(BOTH, [order("03:20", product="nutty"), order("08:00", product="plain")], PLACE)
    assert len(_cleanings(before)) == 2
    after = anew(before, at(0, minute), PLACE, BOTH)
    assert places(after) == places(before)
    assert _wrong_with(after) == []
    for each in _cleanings(after):
        now = at(0, minute)
        assert each.state == ("done" if each.end <= now else "running" if each.start < now else "planned")


def test_what_was_mixed_first_after_all_is_cleaned_off() -> None:
    """Hand: the plan has the plain bread first and cleans nothing. At 00:20 it is said that the nutty dough was mixed
    first, at midnight, and that the plain one waits: the mixer is cleaned for 20 min before that is mixed."""
    before = planned(BOTH, [order("05:00", product="nutty"), order("05:00", product="plain")], PLACE)
    assert _cleanings(before) == []
    first, second = task(before, "mix", "nutty"), task(before, "mix", "plain")
    said = [{"task": first.id, "start": at(0), "end": at(0, 10)}, {"task": second.id, "waiting": True}]
    after = anew(before, at(0, 20), PLACE, BOTH, tasks=said)
    (mixer,) = (t for t in _cleanings(after) if t.place == "spiral")
    assert at(0, 20) <= mixer.start
    assert mixer.end <= task(after, "mix", "plain").start
    assert _wrong_with(after) == []
