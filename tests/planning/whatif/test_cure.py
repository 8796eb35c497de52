"""Cures of nights so small that they can be worked out by hand: see ``small_bakery`` for the lengths."""

from __future__ import annotations

import datetime as dt
import random

import pytest

from planning.shift.small_bakery import formula, kitchen, order, person, planned, stages
from planning.whatif.otherwise import MIXERS, cured, given, plan_of, sentences, smallest, thinking, tins
from smallhours.bakery.shift.variation import Variation
from smallhours.planning.whatif.attempt import night_of, tried
from smallhours.planning.whatif.cure import LONGER, cure
from smallhours.planning.whatif.varied import varied

LOAF, ROLL = formula("loaf", pan="tin"), formula("roll", pan="tin")
PEOPLE = [person("ana"), person("ben")]


def test_a_night_on_time_needs_no_cure() -> None:
    """Behaviour: nothing is late, nothing is offered."""
    answered = cured(given([LOAF], [order("06:00")]))
    assert answered.cures.cures == ()
    assert answered.cures.late == ()


def test_one_tin_short_is_cured_by_one_tin() -> None:
    """Hand: 4 loaves and 4 rolls due at the same time need 8 tins from proof to bake, there are 7: one tin more, or one
    piece fewer, or waiting for the first four: from 80 + 80 + 15 min on, 95 min later than due."""
    place = kitchen(people=PEOPLE, mixers=MIXERS, pans=tins(7))
    answered = cured(given([LOAF, ROLL], [order("03:20"), order("03:20", product="roll")], place))
    assert answered.cures.late_s == 95 * 60
    assert answered.cures.proven
    tin = smallest(answered, "things")
    assert (tin.equipment, tin.by) == ("tin", 1)
    other = [told.variation.orders[0] for told in answered.cures.cures if told.variation.orders]
    assert {(wanted.fewer, wanted.new_due) for wanted in other} == {(1, None), (0, dt.time(4, 55))}
    assert sentences(answered)[0] == "One more of Tin: all on time"


def test_four_tins_short_takes_four() -> None:
    """Hand: with 4 tins for 8 pieces, 4 more are the fewest that help; one piece fewer of either does not."""
    place = kitchen(people=PEOPLE, mixers=MIXERS, pans=tins(4))
    answered = cured(given([LOAF, ROLL], [order("03:20"), order("03:20", product="roll")], place))
    assert smallest(answered, "things").by == 4
    assert not any(wanted.fewer for told in answered.cures.cures for wanted in told.variation.orders)


def test_somebody_who_comes_20_min_late_is_to_come_20_min_earlier() -> None:
    """Hand: 200 min before 05:40 is 02:20; Ana comes at 02:40: 20 min late, in steps of 5 min just 20 earlier.
    A helper has to be there from the mixing to the end of the bake (40 min before 05:40)."""
    answered = cured(given([formula()], [order("05:40")], kitchen(people=[person("ana", "02:40:00")])))
    assert answered.cures.late_s == 20 * 60
    assert smallest(answered, "hours").begins_earlier_s == 20 * 60
    assert sentences(answered) == [
        "Start Ana 20 min earlier",
        "Hand over Loaf for Shop due at 05:40 at 06:00 instead: all on time",
        "One more pair of hands from 02:20 to 05:00: all on time",
    ]


def test_a_deck_that_has_to_change_is_cured_by_baking_alike() -> None:
    """Hand: 200 and 220 °C with nothing to give on one deck: the second waits 2 min for 20 K and 30 min for the first
    bake; both at one temperature go in together, and with another oven both are in at once, too."""
    hot = formula("hearth", stages(("bake", {"set_temp_c": 220.0})))
    place = kitchen(people=PEOPLE, mixers=MIXERS)
    answered = cured(given([formula(), hot], [order("03:20"), order("03:20", product="hearth")], place))
    assert answered.cures.late_s == 32 * 60
    bakes = [told.variation.bakes[0] for told in answered.cures.cures if told.variation.bakes]
    assert ("loaf", 220.0) in {(bake.product, bake.set_temp_c) for bake in bakes}
    assert all(25 * 60 <= bake.duration_s <= 35 * 60 for bake in bakes)
    assert smallest(answered, "things").equipment == "oven.deck"


def test_one_pair_of_hands_short() -> None:
    """Hand: two doughs in two mixers are both to be shaped from 70 to 80 min; one baker is 10 min late with the second.
    A helper cures it, and is there no longer than needed of them; so is handing over 10 min later."""
    breads = [formula(), formula("roll")]
    answered = cured(given(breads, [order("03:20"), order("03:20", product="roll")], kitchen(mixers=MIXERS)))
    assert answered.cures.late_s == 10 * 60
    helper = smallest(answered, "helpers")
    assert helper.start <= dt.time(1, 10)
    assert dt.time(1, 20) <= helper.end <= dt.time(3, 20)


def test_a_night_in_which_nothing_fits() -> None:
    """Hand: mixing ends at 00:30 at the latest and the rest of 60 min (and 20 min of waiting) at 01:50, Ana is back at
    02:00: she may begin her second stretch, or end her first, 10 min nearer to the other; 30 min if both have to move
    alike, as an hour begun earlier is begun earlier in both."""
    hours = [{"start": "00:00:00", "end": "00:30:00"}, {"start": "02:00:00", "end": "03:00:00"}]
    answered = cured(given([formula()], [order("06:00")], kitchen(people=[person("ana", hours=hours)])))
    assert not answered.cures.fits
    assert answered.cures.cures
    assert all(told.all_on_time for told in answered.cures.cures)


def test_two_changes_where_no_single_one_is_enough() -> None:
    """Hand: Ana comes at 00:10, 200 min before 03:30; one of two breads is due at 03:20, the other (shaped after it) at
    03:30: she has to come 10 min earlier, and 8 pieces need 8 tins, of which there are 7. Neither is enough alone."""
    place = kitchen(people=[person("ana", "00:10:00")], mixers=MIXERS, pans=tins(7))
    answered = cured(given([LOAF, ROLL], [order("03:20"), order("03:30", product="roll")], place))
    two = [told.variation for told in answered.cures.cures if told.variation.hours and told.variation.things]
    assert [(v.hours[0].begins_earlier_s, v.things[0].by) for v in two] == [(10 * 60, 1)]


def test_a_plan_that_was_searched_too_shortly() -> None:
    """Behaviour: a plan that is late, while the night can be on time: the first cure is to search longer."""
    night = given([formula()], [order("06:00")])
    plan = planned([formula()], [order("06:00")])
    late = plan.orders[0].model_copy(update={"late_s": 600.0})
    answered = cure(night, made_at=plan.made_at, thinking=thinking(), plan=plan.model_copy(update={"orders": (late,)}))
    assert answered.cures.cures[0].sentence.startswith(LONGER)
    assert answered.cures.cures[0].variation == Variation()
    assert answered.cures.late == ("4 Loaf for Shop at 06:00",)


def test_tries_can_be_stopped() -> None:
    """Behaviour: stopped after the first try, it says that not all was tried."""
    place = kitchen(people=PEOPLE, mixers=MIXERS, pans=tins(4))
    night = given([LOAF, ROLL], [order("03:20"), order("03:20", product="roll")], place)
    think = thinking()
    told: list[str] = []

    def on_step(number: int, most: int, words: str) -> None:
        told.append(words)
        if number == 2:
            think.stop.stop()

    answered = cure(night, made_at=dt.datetime(2026, 11, 26, tzinfo=dt.UTC), thinking=think, on_step=on_step)
    assert answered.cures.stopped
    assert len(told) == 2


@pytest.mark.parametrize("seed", range(12))
def test_every_cure_of_a_night_nobody_thought_of_holds(seed: int) -> None:
    """Limit: planned once more from the documents as they were varied, each cure is on time where it says so, nothing
    else is later than it was, and an outsider finds nothing wrong with it (``cured`` looks at the plans found)."""
    dice = random.Random(seed)
    breads = [formula(name, pan="tin") for name in ("loaf", "roll", "plait")[: dice.choice([2, 3])]]
    orders = [order(f"0{dice.choice([3, 4])}:{dice.choice(['10', '25', '40'])}", dice.randint(2, 6), each.id)
              for each in breads]  # fmt: skip
    people = [person("ana", dice.choice(["00:00:00", "00:15:00", "00:40:00"])), person("ben", "01:00:00")]
    place = kitchen(pans=tins(dice.randint(5, 14)), mixers=MIXERS, people=people[: dice.choice([1, 2])])
    asked = given(breads, orders, place)
    answered = cured(asked, try_s=0.5, limit_s=10.0)
    before = tried(night_of(asked), thinking(0.5)).late_s
    for found in answered.found[:3]:
        again = tried(night_of(varied(asked, found.variation)), thinking(), hint=found.attempt.solution.placed)
        assert {n for n, late_s in again.late_s.items() if not late_s} >= found.cured
        assert all(late_s <= before[n] for n, late_s in again.late_s.items())
        plan_of(again)
