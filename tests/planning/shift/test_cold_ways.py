"""Chilled and frozen dough, where the formula allows it: places in the cold, then on the rack."""

from __future__ import annotations

from typing import Any

import pytest

from planning.shift.small_bakery import MIDNIGHT, formula, kitchen, minutes, order, person, planned, stages, task
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.planning.plan import Plan, PlanTask

HOURS = [{"start": "15:00:00", "end": "20:00:00"}, {"start": "05:00:00", "end": "09:00:00"}]
FROZEN = {
    "place": "freezer", "duration_s": 10 * 3600.0, "min_s": 8 * 3600.0, "max_s": 72 * 3600.0, "at_temp_c": -18.0,
    "temper_s": 2.5 * 3600.0,
}  # fmt: skip
CHILLED = {"place": "fridge", "duration_s": 9 * 3600.0, "min_s": 8 * 3600.0, "max_s": 12 * 3600.0, "temper_s": 3600.0}


def cold(kind: str, places: int) -> dict[str, Any]:
    """A freezer or fridge."""
    temp_c = -18.0 if kind == "freezer" else 4.0
    return {"id": kind, "name": kind.capitalize(), "kind": kind, "temp_c": temp_c, "tray_places": places}


def house(*places: dict[str, Any], racks: int = 40) -> Kitchen:
    """Somebody in the afternoon and from five on, and these cold places."""
    rack = [{"id": "rack", "name": "Rack", "count": 1, "tray_places": racks}]
    return kitchen(cold=list(places), people=[person("ana", hours=HOURS)], racks=rack)


def bread(*ways: dict[str, Any], name: str = "loaf") -> Formula:
    """The usual bread on tins that take half a tray place, with other ways to proof."""
    return formula(name, chain=stages(("proof", {"instead": list(ways)})), pan="tin")


def use(of: PlanTask, resource: str) -> tuple[float, float, int]:
    """From when to when (min after the task's start) and how much of a resource it uses."""
    (found,) = [each for each in of.uses if each.resource == resource]
    start, end = ((at - of.start).total_seconds() / 60 for at in (found.start, found.end))
    return start, end, found.amount


def length_min(of: PlanTask) -> float:
    """How long a task lasts."""
    return (of.end - of.start).total_seconds() / 60


def test_dough_is_frozen_where_nothing_else_bridges_the_night() -> None:
    """Hand: from 05:00 on a bread takes until 08:20; due at 06:30 it is shaped by 20:00 and stands in the freezer but
    for its last 2 h 30 min, which it thaws and proofs on the rack: 4 tins are 2 tray places."""
    plan = planned([bread(FROZEN)], [order("06:30")], house(cold("freezer", 2)), start=None)
    proof = task(plan, "proof")
    assert (proof.way, proof.place) == ("freezer", "freezer")
    assert plan.orders[0].late_s == 0
    lasts = length_min(proof)
    assert use(proof, "freezer") == (0.0, lasts - 150, 2)
    assert use(proof, "rack") == (lasts - 150, lasts, 2)
    assert use(proof, "tin") == (0.0, lasts, 4)
    assert 8 * 60 <= lasts <= 72 * 60


def test_a_freezer_holds_no_more_than_it_has_places_for() -> None:
    """Hand: of two breads of two tray places each, a freezer of three takes one; the other is made from 05:00 on."""
    formulas = bread(FROZEN), bread(FROZEN, name="rye")
    orders = [order("06:30", 2), order("06:30", 6, "rye")]
    pans = [{"id": "tin", "name": "Tin", "count": 8, "tray_share": 0.5, "cool_s": 900.0}]
    place = house(cold("freezer", 3)).model_copy(update={"pans": kitchen(pans=pans).pans})
    plan = planned(formulas, orders, place, start=None)
    ways = {name: task(plan, "proof", name).way for name in ("loaf", "rye")}
    assert sorted(ways.values()) == ["freezer", "main"]
    assert sum(each.late_s > 0 for each in plan.orders) == 1


def test_what_thaws_needs_its_place_on_the_rack() -> None:
    """Hand: two breads of two tray places each, on a rack for two: they never stand on it both, thawing or cooling."""
    formulas = bread(FROZEN), bread(FROZEN, name="rye")
    orders = [order("08:30"), order("08:30", product="rye")]
    pans = [{"id": "tin", "name": "Tin", "count": 8, "tray_share": 0.5, "cool_s": 900.0}]
    place = house(cold("freezer", 4), racks=2).model_copy(update={"pans": kitchen(pans=pans).pans})
    plan = planned(formulas, orders, place, start=None)
    racked = [use for t in plan.tasks for use in t.uses if use.resource == "rack"]
    for one in racked:
        assert sum(use.amount for use in racked if use.start <= one.start < use.end) <= 2
    out = [task(plan, "proof", name) for name in ("loaf", "rye") if task(plan, "proof", name).way == "freezer"]
    assert out
    assert all(use(t, "rack")[2] == 2 for t in out)


@pytest.mark.parametrize(("fridge", "way"), [(2, "fridge"), (1, "freezer")])
def test_chilled_comes_before_frozen_where_it_fits(fridge: int, way: str) -> None:
    """Hand: both ways bridge the night; the one that the formula names first is preferred, if its trays fit."""
    place = house(cold("fridge", fridge), cold("freezer", 2))
    plan = planned([bread(CHILLED, FROZEN)], [order("06:30")], place, start=None)
    assert task(plan, "proof").way == way
    assert plan.orders[0].late_s == 0


def test_a_dough_chilled_in_one_mass_takes_whole_trays_and_no_rack() -> None:
    """Hand: 4 loaves are some 4 kg of dough, one slab of at most 5 kg: one tray place overnight; then an hour in the
    room where it stands, which is no tray on the rack."""
    chain = stages(("ferment", {"instead": [CHILLED]}))
    written = formula(chain=chain, pan="tin")
    place = house(cold("fridge", 1)).model_copy(update={"slab_mass_g": 5000.0})
    plan = planned([written], [order("07:30")], place, start=None)
    chilled = task(plan, "ferment")
    assert chilled.way == "fridge"
    lasts, window = length_min(chilled), chilled.window
    assert use(chilled, "fridge")[2] == 1
    out_min = lasts - use(chilled, "fridge")[1]
    assert out_min == pytest.approx((window.temper_s or 0.0) / 60, abs=1)
    assert not [each for each in chilled.uses if each.resource == "rack"]


def nights_out(plan: Plan) -> bool:
    """Whether the night lies between shaping and baking."""
    return task(plan, "shape").end < MIDNIGHT - minutes(3 * 60) and task(plan, "bake").start > MIDNIGHT


def test_a_retard_of_its_own_lies_in_the_night() -> None:
    """Hand: a bread whose chain has a retard of 9 to 14 h is shaped the day before and baked in the morning."""
    retard = {"kind": "retard", "duration_s": 10 * 3600.0, "min_s": 9 * 3600.0, "max_s": 14 * 3600.0}
    chain = [stage for kind in stages() for stage in ([kind, retard] if kind["kind"] == "shape" else [kind])]
    written = formula(chain=[stage for stage in chain if stage["kind"] != "proof"], pan="tin")
    plan = planned([written], [order("07:00")], house(cold("fridge", 2)), start=None)
    assert nights_out(plan)
    assert use(task(plan, "retard"), "fridge")[2] == 2
    assert plan.orders[0].late_s == 0
