"""What may be made ahead is made when there are hands for it, and as often as it has to be fresh."""

from __future__ import annotations

import datetime as dt

from planning.shift.small_bakery import CHAIN, MINUTE_S, NIGHT, formula, kitchen, order, person, planned, task
from smallhours.bakery.formula.document import Formula

HOUR_S = 60 * MINUTE_S


def with_filling(keeps_s: float, minutes: float) -> Formula:
    """A loaf with a filling that somebody stirs for so long, taken in while it is shaped."""
    parts = [
        {"id": "dough", "name": "Dough", "lines": [{"ingredient": "bread-flour", "percent": 100.0},
                                                   {"ingredient": "water", "percent": 60.0}]},
        {"id": "filling", "name": "Filling", "kind": "filling", "mass_per_piece_g": 50.0, "keeps_s": keeps_s,
         "percent_on": "mass", "lines": [{"ingredient": "sugar", "percent": 100.0}]},
    ]  # fmt: skip
    stir = {"kind": "mix", "part": "filling", "place": "bench", "duration_s": minutes * MINUTE_S}
    shaped = [{**stage, "uses": ["filling"]} if stage["kind"] == "shape" else stage for stage in CHAIN]
    return formula("loaf", [{**stir, "attention": "throughout"}, *shaped], parts=parts)


def test_a_filling_that_keeps_is_made_when_there_are_hands() -> None:
    """Hand: the baker comes at 01:00, and 200 min of work are due at 04:30. The filling takes 90 min of hands and is
    used 70 min after the mixing has begun, of which 10 are mixing: with 10 min to spare, it does not fit in between.

    Somebody else is there from 13:00 to 17:00. A filling that keeps 12 h may be made then, and nothing is late; one
    that keeps 3 h may not.
    """
    people = [person("luz", "13:00:00", "17:00:00"), person("ana", "01:00:00", "09:00:00")]
    plan = planned([with_filling(12 * HOUR_S, 90.0)], [order("04:30")], kitchen(people=people), start=None)
    stirred = next(each for each in plan.tasks if each.part == "filling")
    assert not any(each.late_s for each in plan.orders)
    assert {hands.person for hands in stirred.hands} == {"luz"}
    assert (task(plan, "shape").start - stirred.end) <= dt.timedelta(hours=12)
    late = planned([with_filling(3 * HOUR_S, 90.0)], [order("04:30")], kitchen(people=people), start=None)
    assert late.orders[0].late_s > 0


def test_a_part_that_does_not_keep_is_fresh_for_each_wave() -> None:
    """Hand: loaves due at 04:00 and 11:00 in two bowls, filling that keeps an hour: two fillings, each used in time."""
    people = [person("ana", hours=[{"start": "00:00:00", "end": "00:00:00"}])]
    mixers = [{"id": "spiral", "name": "Spiral", "min_dough_g": 1000.0, "max_dough_g": 5000.0}]
    there = kitchen(people=people, mixers=mixers)
    plan = planned([with_filling(HOUR_S, 5.0)], [order("04:00"), order("11:00")], there, start=None)
    assert sorted(batch.id for batch in plan.batches if batch.part == "filling") == ["loaf.filling.1", "loaf.filling.2"]
    assert not any("longer" in note for note in plan.notes)
    assert not any(each.late_s for each in plan.orders)


def test_a_plan_says_what_is_left_over_and_which_places_are_free() -> None:
    """Hand: 3 loaves in tins of 2: two tins with room for one more. Of 4000 g in the bowl 3061 g are needed."""
    made = formula(pan="tin", pieces_per_pan=2)
    made = made.model_copy(update={"parts": (made.parts[0].model_copy(update={"fill_bowl": True}),)})
    mixers = [{"id": "spiral", "name": "Spiral", "min_dough_g": 4000.0, "max_dough_g": 9000.0}]
    plan = planned([made], [order("06:00", 3)], kitchen(mixers=mixers))
    assert plan.batches[0].lots[0].free_places == 1
    assert round(plan.batches[0].over_g) == 939
    assert any("939 g are left over" in note for note in plan.notes)
    assert plan.night == NIGHT
