"""Nights so small that the best plan can be worked out by hand: see ``small_bakery`` for the lengths."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from planning.shift.small_bakery import (
    CHAIN,
    CHAIN_MIN,
    MIDNIGHT,
    WAITS_MIN,
    formula,
    kitchen,
    minutes,
    order,
    oven,
    person,
    planned,
    stages,
    task,
)

FRIDGE = [{"id": "fridge", "name": "Fridge", "temp_c": 4.0, "tray_places": 12}]
OVERNIGHT: dict[str, Any] = {
    "min_s": 2400.0,
    "max_s": 3600.0,
    "instead": [{"place": "fridge", "duration_s": 9 * 3600.0, "min_s": 6 * 3600.0, "max_s": 12 * 3600.0}],
}


def test_one_bread_is_ready_when_its_stages_add_up() -> None:
    """Hand: 10 + 60 + 10 + 50 + 30 + 40 = 200 min from midnight; due at 03:20, it is ready just then."""
    plan = planned([formula()], [order("03:20")])
    assert plan.status == "optimal"
    assert task(plan, "mix").start == MIDNIGHT
    assert plan.orders[0].ready == MIDNIGHT + minutes(CHAIN_MIN)
    assert plan.orders[0].late_s == 0


def test_what_cannot_be_ready_is_late_by_what_is_missing() -> None:
    """Hand: due at 02:00 but 200 min long from midnight: 80 min late, and proven to be no less."""
    plan = planned([formula()], [order("02:00")])
    assert plan.orders[0].late_s == 80 * 60
    assert plan.objective[0].value == 80
    assert plan.objective[0].proven


def test_work_is_put_off_until_it_is_fresh() -> None:
    """Hand: due at 09:00, so that mixing begins at 09:00 - 200 min = 05:40, not at midnight; or up to 30 min before
    that, as the dough may wait 20 min for its dividing and 10 for its proof."""
    plan = planned([formula()], [order("09:00")])
    assert plan.orders[0].ready == MIDNIGHT + minutes(9 * 60)
    latest = MIDNIGHT + minutes(9 * 60 - CHAIN_MIN)
    assert latest - minutes(WAITS_MIN) <= task(plan, "mix").start <= latest


def test_a_night_in_the_cold_where_people_come_only_in_the_evening_and_at_four() -> None:
    """Hand: from 04:00 a bread made the same day would be ready at 07:20; due at 06:00 it must be shaped the evening
    before (17:00 to 21:00) and proof in the fridge, 6 to 12 h."""
    hours = [{"start": "17:00:00", "end": "21:00:00"}, {"start": "04:00:00", "end": "08:00:00"}]
    place = kitchen(cold=FRIDGE, people=[person("ana", hours=hours)])
    plan = planned([formula(chain=stages(("proof", OVERNIGHT)))], [order("06:00")], place, start=None)
    proof = task(plan, "proof")
    assert proof.way == "fridge"
    assert proof.start <= MIDNIGHT - minutes(3 * 60)
    assert proof.end >= MIDNIGHT + minutes(4 * 60)
    assert plan.orders[0].late_s == 0


def test_the_same_day_where_people_are_there() -> None:
    """Hand: with people from midnight the 200 min fit before 06:00, and the formula's first way is preferred."""
    plan = planned([formula(chain=stages(("proof", OVERNIGHT)))], [order("06:00")], kitchen(cold=FRIDGE))
    assert task(plan, "proof").way == "main"
    assert plan.orders[0].ready == MIDNIGHT + minutes(6 * 60)


def test_the_second_dough_waits_for_the_tins() -> None:
    """Hand: four tins. The first dough has them from its proof (80 min) to the end of its bake (160) and they cool for
    15: the second proofs from 175, is ready at 175 + 50 + 30 + 40 = 295, due at 200: 95 min late."""
    breads = [formula(name, pan="tin") for name in ("loaf", "roll")]
    plan = planned(breads, [order("03:20"), order("03:20", product="roll")])
    first, second = sorted((task(plan, "proof", n) for n in ("loaf", "roll")), key=lambda t: t.start)
    assert second.start - first.start >= minutes(50 + 30 + 15)
    assert sum(o.late_s for o in plan.orders) == 95 * 60
    assert plan.objective[0].proven


def test_two_set_temperatures_one_deck() -> None:
    """Hand: 10 K a minute up, 5 down. From 20 to 200 °C 18 min, 200 to 260 °C 6 min, 260 to 200 °C 12 min. Due at 200
    min both: the one at 200 °C first (bake 130 to 160), the other from 166, ready at 166 + 70 = 236: 36 min late."""
    hot = formula("hearth", stages(("bake", {"set_temp_c": 260.0})))
    plan = planned([formula(), hot], [order("03:20"), order("03:20", product="hearth")])
    deck = next(r for r in plan.resources if r.kind == "deck")
    up = {"start>200": 1080, "start>260": 1440, "200>260": 360}
    assert deck.change_s == {**up, "260>200": 720, "200>200": 1080, "260>260": 1440}  # the last two: off and on again
    assert [s.set_temp_c for s in plan.ovens] == [200.0, 260.0]
    assert plan.ovens[1].start - plan.ovens[0].end >= minutes(6)
    assert plan.ovens[0].start - plan.ovens[0].heat_from == minutes(18)
    assert sum(o.late_s for o in plan.orders) == 36 * 60


def test_set_temperatures_that_overlap_share_a_load() -> None:
    """Hand: 200 and 205 °C with 5 K to give stand together at one of them; neither is late, nothing changes."""
    near = formula("near", stages(("bake", {"set_temp_c": 205.0, "set_temp_give_k": 5.0})))
    plan = planned([formula(), near], [order("04:00"), order("04:00", product="near")])
    assert {s.set_temp_c for s in plan.ovens} == {200.0}
    assert all(o.late_s == 0 for o in plan.orders)


def with_sponge(keeps_s: float | None) -> dict[str, Any]:
    """The parts and stages of a bread on a sponge that takes 5 + 180 min."""
    sponge = {"id": "sponge", "name": "Sponge", "kind": "preferment", "keeps_s": keeps_s,
              "lines": [{"ingredient": "bread-flour", "percent": 100.0}, {"ingredient": "water", "percent": 60.0},
                        {"ingredient": "yeast-instant", "percent": 0.2}]}  # fmt: skip
    dough = {"id": "dough", "name": "Dough",
             "lines": [{"ingredient": "bread-flour", "percent": 100.0}, {"ingredient": "water", "percent": 65.0},
                       {"ingredient": "salt", "percent": 2.0}, {"part": "sponge", "percent": 30.0}]}  # fmt: skip
    first = [{"kind": "mix", "part": "sponge", "duration_s": 300.0},
             {"kind": "ferment", "part": "sponge", "duration_s": 180 * 60.0}]  # fmt: skip
    return {"parts": [dough, sponge], "stages": [*first, *CHAIN]}


def test_a_sponge_is_ripe_before_the_dough_is_mixed() -> None:
    """Hand: 5 + 180 min of sponge, then 200 min of bread: 385 min from midnight at the earliest."""
    plan = planned([formula(**with_sponge(None))], [order("05:00")])
    assert plan.orders[0].ready == MIDNIGHT + minutes(385)
    assert plan.orders[0].late_s == 85 * 60


def test_a_sponge_is_used_while_it_keeps() -> None:
    """Hand: people until 02:00 and from 08:00; the sponge keeps an hour. Set before 02:00 it
    would be past it by 06:00, so all begins at 08:00 and takes the 385 min."""
    hours = [{"start": "00:00:00", "end": "02:00:00"}, {"start": "08:00:00", "end": "20:00:00"}]
    place = kitchen(people=[person("ana", hours=hours)])
    plan = planned([formula(**with_sponge(3600.0))], [order("09:00")], place)
    sponge = next(t for t in plan.tasks if t.part == "sponge" and t.kind == "ferment")
    mix = next(t for t in plan.tasks if t.part == "dough" and t.kind == "mix")
    assert minutes(0) <= mix.start - sponge.end <= minutes(60)
    assert plan.orders[0].ready == MIDNIGHT + minutes(8 * 60 + 385)


def test_bread_has_cooled_before_it_is_finished() -> None:
    """Hand: a finish of 5 min after the 40 min of cooling: ready 205 min after midnight."""
    plan = planned([formula(chain=(*CHAIN, {"kind": "finish", "duration_s": 300.0}))], [order("03:00")])
    assert task(plan, "finish").start - task(plan, "bake").end >= minutes(40)
    assert plan.orders[0].ready == MIDNIGHT + minutes(205)


def test_nobody_works_in_a_pause() -> None:
    """Hand: a pause of 30 min that must lie between 01:05 and 01:35 is where the shaping of the earliest plan would be
    (01:10 to 01:20): it waits until 01:35, and the bread is 15 min later than without."""
    rest = [{"earliest": "01:05:00", "latest": "01:35:00", "duration_s": 1800.0}]
    long_rest = stages(("ferment", {"max_s": 7200.0}))
    plan = planned([formula(chain=long_rest)], [order("02:00")], kitchen(people=[person("ana", breaks=rest)]))
    assert task(plan, "shape").start == MIDNIGHT + minutes(95)
    assert plan.orders[0].late_s == (80 + 25) * 60


def test_work_changes_hands_at_the_end_of_a_shift() -> None:
    """Hand: shaping lasts an hour from 01:10; Ana goes at 01:30 and Ben comes then: 20 min of hers, 40 of his."""
    people = [person("ana", "00:00:00", "01:30:00"), person("ben", "01:30:00", "09:00:00")]
    plan = planned([formula(chain=stages(("shape", {"duration_s": 3600.0})))], [order("02:00")], kitchen(people=people))
    hands = [(h.person, h.end - h.start) for h in task(plan, "shape").hands]
    assert hands == [("ana", minutes(20)), ("ben", minutes(40))]


def test_two_pairs_of_hands_are_two_people() -> None:
    """Hand: two doughs in two mixers shaped at the same time (01:10 to 01:20) if both are as early as can be."""
    mixers = [{"id": m, "name": m, "min_dough_g": 100.0, "max_dough_g": 40000.0} for m in ("one", "two")]
    place = kitchen(mixers=mixers, people=[person("ana"), person("ben")], ovens=[oven(places=16)])
    plan = planned([formula(), formula("roll")], [order("02:00"), order("02:00", product="roll")], place)
    assert sum(o.late_s for o in plan.orders) == 2 * 80 * 60
    assert {task(plan, "shape", n).hands[0].person for n in ("loaf", "roll")} == {"ana", "ben"}


@pytest.mark.parametrize(
    ("night", "begins", "due", "shift_h"),
    [
        (dt.date(2026, 3, 29), "2026-03-28T23:00", "2026-03-29T04:00", 7),
        (dt.date(2026, 10, 25), "2026-10-24T22:00", "2026-10-25T05:00", 9),
    ],
)
def test_a_night_in_which_the_clocks_change(night: dt.date, begins: str, due: str, shift_h: int) -> None:
    """Hand: Madrid goes from UTC+1 to UTC+2 on 2026-03-29 and back on 2026-10-25 (EU directive 2000/84/EC: 01:00 UTC).
    A shift from 00:00 to 08:00 then has 7 or 9 hours; 06:00 on the wall is 04:00 or 05:00 UTC; the bread still takes
    200 minutes."""
    place = kitchen(timezone="Europe/Madrid", people=[person("ana", "00:00:00", "08:00:00")])
    plan = planned([formula()], [order("06:00", night=night)], place, start=None, night=night)
    shift = next(h for h in plan.people[0].hours if h.end > dt.datetime.fromisoformat(due + "Z"))
    assert shift.start == dt.datetime.fromisoformat(begins + "Z")
    assert shift.end - shift.start == dt.timedelta(hours=shift_h)
    assert plan.orders[0].due == dt.datetime.fromisoformat(due + "Z")
    assert plan.orders[0].ready == plan.orders[0].due
    assert sum((t.end - t.start for t in plan.tasks), dt.timedelta()) == minutes(CHAIN_MIN)
    assert minutes(CHAIN_MIN) <= plan.orders[0].ready - task(plan, "mix").start <= minutes(CHAIN_MIN + WAITS_MIN)


def test_a_dough_that_waits_rests_longer() -> None:
    """Hand: nobody is there from 00:20 to 02:00, so the dough rests from 00:20 at the latest and is shaped from 02:00
    on. One lot may wait 20 min after its rest: the rest lasts 80 min or more, although 60 would do."""
    chain = stages(("ferment", {"min_s": 3600.0, "max_s": 7200.0}))
    hours = [{"start": "00:00:00", "end": "00:20:00"}, {"start": "02:00:00", "end": "12:00:00"}]
    plan = planned([formula(chain=chain)], [order("05:00")], kitchen(people=[{**person("ana"), "hours": hours}]))
    rest, shape = task(plan, "ferment"), task(plan, "shape")
    assert shape.start >= MIDNIGHT + minutes(120)
    assert shape.start - rest.end <= minutes(20)
    assert rest.end - rest.start >= minutes(80)


def test_a_topping_of_which_nobody_says_when_it_comes_in_is_there_before_the_pieces() -> None:
    """Hand: seeds stirred in 10 minutes that no stage uses are ready before the dividing of the pieces they go on."""
    lines = [{"ingredient": "sesame-seed-hulled", "percent": 100.0}]
    seeds = {"id": "seeds", "name": "Seeds", "kind": "topping", "percent_on": "mass", "mass_per_piece_g": 5.0}
    plain = formula().to_json_data()
    stir = {"kind": "mix", "part": "seeds", "place": "bench", "duration_s": 600.0}
    bread = formula(chain=(stir, *CHAIN), parts=[*plain["parts"], {**seeds, "lines": lines}])
    plan = planned([bread], [order("09:00")])
    stirred = next(t for t in plan.tasks if t.part == "seeds")
    assert stirred.end <= task(plan, "shape").start
