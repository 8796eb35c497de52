"""Nights in which something has to be free from an allergen: order first, else a cleaning, else words."""

from __future__ import annotations

from typing import Any

import pytest

from planning.shift.small_bakery import (
    CHAIN_MIN,
    MIDNIGHT,
    formula,
    kitchen,
    minutes,
    order,
    person,
    planned,
    task,
)
from smallhours.bakery.formula.document import Formula
from smallhours.errors import DocumentError
from smallhours.planning.plan import PANS, Plan, PlanTask

LEAN = [{"ingredient": "bread-flour", "percent": 100.0}, {"ingredient": "water", "percent": 65.0}]
BENCH = {"id": "bench", "name": "Bench", "places": 1, "clean_s": 600.0}


def _bread(name: str, holds: str | None = None, *free_from: str) -> Formula:
    lines = [*LEAN, *([{"ingredient": holds, "percent": 20.0}] if holds else [])]
    return formula(name, parts=[{"id": "dough", "name": name, "lines": lines}], free_from=free_from)


def _mixer(clean_min: float) -> dict[str, Any]:
    return {"id": "spiral", "name": "Spiral", "min_dough_g": 100.0, "max_dough_g": 40000.0, "clean_s": clean_min * 60}


NUTTY, PLAIN = _bread("nutty", "almonds"), _bread("plain", None, "nuts")


def _cleanings(plan: Plan) -> list[PlanTask]:
    return [t for t in plan.tasks if t.kind == "clean"]


def test_what_has_to_be_free_comes_first() -> None:
    """Hand: both due at 06:00, one mixer, one bench. The plain bread is mixed and shaped first and nothing has to be
    cleaned; the plan says what holds what, and that it takes the mixer to be clean at first."""
    plan = planned([NUTTY, PLAIN], [order("06:00", product="nutty"), order("06:00", product="plain")], kitchen(
        mixers=[_mixer(20)], benches=[BENCH]))  # fmt: skip
    assert _cleanings(plan) == []
    assert task(plan, "mix", "plain").end <= task(plan, "mix", "nutty").start
    assert task(plan, "shape", "plain").end <= task(plan, "shape", "nutty").start
    assert (task(plan, "mix", "nutty").holds, task(plan, "mix", "nutty").free_from) == (("nuts",), ())
    assert (task(plan, "bake", "plain").holds, task(plan, "bake", "plain").free_from) == ((), ("nuts",))
    assert any("are taken to be clean of nuts" in note for note in plan.notes)


def test_nothing_is_said_or_kept_when_nobody_asks() -> None:
    """Limit: without a wish the nutty bread, due first, is mixed first, and no word of allergens is in the plan."""
    bare = _bread("plain")
    plan = planned([NUTTY, bare], [order("04:00", product="nutty"), order("08:00", product="plain")], kitchen(
        mixers=[_mixer(20)], benches=[BENCH]))  # fmt: skip
    assert task(plan, "mix", "nutty").end <= task(plan, "mix", "plain").start
    assert all(t.holds == t.free_from == () for t in plan.tasks)
    assert plan.notes == ()


def test_a_cleaning_is_placed_where_the_order_cannot_be_kept() -> None:
    """Hand: nutty is due at 03:20, 200 min after midnight, so it is mixed at midnight and shaped at 01:10. So mixer
    (20 min) and bench (10 min) are cleaned before the plain bread comes to them, by hands, and nothing is late."""
    plan = planned([NUTTY, PLAIN], [order("03:20", product="nutty"), order("08:00", product="plain")], kitchen(
        mixers=[_mixer(20)], benches=[BENCH]))  # fmt: skip
    bench, mixer = sorted(_cleanings(plan), key=lambda t: t.place)
    assert (bench.place, mixer.place) == ("bench", "spiral")
    assert (bench.end - bench.start, mixer.end - mixer.start) == (minutes(10), minutes(20))
    assert task(plan, "mix", "nutty").end <= mixer.start
    assert mixer.end <= task(plan, "mix", "plain").start
    assert task(plan, "shape", "nutty").end <= bench.start
    assert bench.end <= task(plan, "shape", "plain").start
    assert all([h.person for h in t.hands] == ["ana"] and t.holds == ("nuts",) for t in (bench, mixer))
    assert (mixer.batch, mixer.lot, bench.lot) == ("plain.dough.1", None, "plain.lot.1")
    assert not any(o.late_s for o in plan.orders)


def test_where_nobody_has_time_to_clean_the_order_turns() -> None:
    """Hand: nutty is due ten minutes later, and the mixer takes five hours to clean, too long before 08:00 (300 + 200
    min after 00:10 is 08:30). So the plain bread is mixed at midnight and the nutty one from 00:10 on, just in time."""
    plan = planned([NUTTY, PLAIN], [order("03:30", product="nutty"), order("08:00", product="plain")], kitchen(
        mixers=[_mixer(300)], benches=[BENCH]))  # fmt: skip
    assert not [t for t in _cleanings(plan) if t.place == "spiral"]
    assert task(plan, "mix", "plain").start == MIDNIGHT
    assert task(plan, "mix", "nutty").start == MIDNIGHT + minutes(10)
    assert not any(o.late_s for o in plan.orders)


def test_where_no_hands_are_free_to_clean_the_order_turns() -> None:
    """Hand: nutty is due at 03:30, plain at 04:00, so it is mixed by 00:40. Cleaning takes 20 min and would fit
    (00:10-00:30), but Ana goes at 00:20 and is back at 00:45. So plain is first, without a cleaning of the mixer."""
    there = [{"start": "00:00:00", "end": "00:20:00"}, {"start": "00:45:00", "end": "12:00:00"}]
    ana = {**person("ana"), "hours": there}
    bread = [order("03:30", product="nutty"), order("04:00", product="plain")]
    plan = planned([NUTTY, PLAIN], bread, kitchen(mixers=[_mixer(20)], benches=[BENCH], people=[ana]))
    assert not [t for t in _cleanings(plan) if t.place == "spiral"]
    assert task(plan, "mix", "plain").end <= task(plan, "mix", "nutty").start
    assert not any(o.late_s for o in plan.orders)


def test_lateness_behind_a_cleaning_is_said() -> None:
    """Hand: nutty is due at 03:20, so it is mixed 00:00-00:10. Cleaning takes 15 min, so the plain bread is mixed
    from 00:25 on and ready at 03:45, 5 min late. (Plain first: nutty 10 min late.) The reason names the cleaning."""
    plan = planned([NUTTY, PLAIN], [order("03:20", product="nutty"), order("03:40", product="plain")], kitchen(
        mixers=[_mixer(15)], benches=[BENCH], people=[person("ana"), person("bea")]))  # fmt: skip
    assert [o.late_s for o in plan.orders] == [0.0, 300.0]
    assert plan.orders[1].ready == MIDNIGHT + minutes(25 + CHAIN_MIN)
    (late,) = plan.late
    assert late.resource == "spiral"
    assert late.sentence.endswith("its stage mix waits until 00:25 for Spiral to be cleaned after mix of Nutty")


def test_of_two_benches_each_keeps_to_its_own() -> None:
    """Hand: two benches and two mixers: each bread has its own, and nothing is cleaned; the
    places are the benches' own."""
    other = {**_mixer(20), "id": "small", "name": "Small"}
    plan = planned([NUTTY, PLAIN], [order("04:00", product="nutty"), order("08:00", product="plain")], kitchen(
        mixers=[_mixer(20), other], benches=[{**BENCH, "id": "left"}, {**BENCH, "id": "right"}]))  # fmt: skip
    assert _cleanings(plan) == []
    assert {task(plan, "shape", "nutty").place, task(plan, "shape", "plain").place} == {"left", "right"}
    assert {task(plan, "mix", "nutty").place, task(plan, "mix", "plain").place} == {"spiral", "small"}


def test_an_order_may_ask_for_itself() -> None:
    """Hand: nobody claims anything but one order of plain bread: its lot and its dough are kept free from nuts."""
    asks = order("06:00", product="plain", customer="School").model_copy(update={"free_from": ("nuts",)})
    plan = planned([NUTTY, _bread("plain")], [order("06:00", product="nutty"), asks], kitchen(
        mixers=[_mixer(20)], benches=[BENCH]))  # fmt: skip
    assert all(t.free_from == ("nuts",) for t in plan.tasks if t.formula == "plain" and t.kind not in PANS)
    assert task(plan, "mix", "plain").end <= task(plan, "mix", "nutty").start
    assert [o.free_from for o in plan.orders] == [(), ("nuts",)]


def test_two_that_keep_each_other_off_are_explained() -> None:
    """Hand: one bread has nuts and must be free from sesame, the other the other way round; the one mixer takes longer
    to clean than the night lasts. Nothing fits, and the words say what cannot hold together."""
    breads = [_bread("nutty", "almonds", "sesame"), _bread("seedy", "sesame-seed", "nuts")]
    plan = planned(breads, [order("06:00", product="nutty"), order("06:00", product="seedy")], kitchen(
        mixers=[_mixer(5000)], benches=[{**BENCH, "clean_s": 0.0}]), limit=4.0)  # fmt: skip
    assert plan.status == "infeasible"
    assert any(
        "Spiral is cleaned between what holds an allergen and what has to be free from it" in n for n in plan.notes
    )


def test_a_product_that_holds_what_it_must_be_free_from_is_refused() -> None:
    """Bad input: named with its part and ingredient."""
    with pytest.raises(
        DocumentError, match="product 'odd': cannot be free from 'nuts': its part 'dough' has 'almonds'"
    ):
        planned([_bread("odd", "almonds", "nuts")], [order("06:00", product="odd")])
