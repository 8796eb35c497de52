"""The outsider's check finds what is wrong: a good plan, spoilt in one place at a time."""

from __future__ import annotations

import copy
import datetime as dt
from collections.abc import Callable
from functools import cache
from typing import Any

import pytest

from planning.plan_checker import violations
from planning.shift.small_bakery import MIDNIGHT, formula, kitchen, minutes, order, person, planned, stages
from planning.shift.test_small_nights import FRIDGE, OVERNIGHT, with_sponge

Spoil = Callable[[dict[str, Any]], None]
_REST = [{"earliest": "04:30:00", "latest": "06:00:00", "duration_s": 1200.0}]
_PLACE = kitchen(
    cold=FRIDGE,
    people=[
        person("ana", hours=[{"start": "14:00:00", "end": "21:00:00"}, {"start": "03:00:00", "end": "11:00:00"}],
               breaks=_REST),
        person("ben", "04:00:00", "11:00:00"),
    ],
)  # fmt: skip


@cache
def good() -> str:
    """A plan with a sponge, a night in the fridge, tins, two set temperatures, a pause and two people, as JSON text."""
    breads = [
        formula(pan="tin", chain=stages(("proof", OVERNIGHT))),
        formula("hearth", **with_sponge(3600.0)),
        formula("crust", stages(("bake", {"set_temp_c": 250.0}))),
    ]
    orders = [order("05:30", 4), order("09:30", 2, "hearth"), order("09:00", 3, "crust"),
              order("09:30", 1, "hearth", customer="Van")]  # fmt: skip
    return planned(breads, orders, _PLACE, start=MIDNIGHT - minutes(12 * 60)).model_dump_json()


def plan() -> dict[str, Any]:
    """The good plan, to be spoilt."""
    import json

    found: dict[str, Any] = json.loads(good())
    return found


def moved(text: str, by_min: float) -> str:
    """An instant some minutes later."""
    return (dt.datetime.fromisoformat(text) + minutes(by_min)).isoformat().replace("+00:00", "Z")


def find(plan: dict[str, Any], kind: str, of: str) -> dict[str, Any]:
    """The first task of that kind of a product."""
    return next(t for t in plan["tasks"] if t["kind"] == kind and t["formula"] == of)


def shift(task: dict[str, Any], by_min: float) -> None:
    """Move a task with all that it uses."""
    for piece in (task, *task["uses"], *task["hands"]):
        piece["start"], piece["end"] = moved(piece["start"], by_min), moved(piece["end"], by_min)


def test_a_good_plan_has_nothing_wrong() -> None:
    """Limit: the plan that is spoilt below is whole before, and has what can be spoilt."""
    whole = plan()
    assert violations(whole, _PLACE.model_dump(mode="json")) == []
    assert len(whole["ovens"]) >= 2
    assert any(person["breaks"] for person in whole["people"])
    assert find(whole, "proof", "loaf")["place"] == "fridge"


def _task_moved(p: dict[str, Any]) -> None:
    shift(find(p, "shape", "hearth"), 45)


def _task_too_long(p: dict[str, Any]) -> None:
    find(p, "cool", "loaf")["end"] = moved(find(p, "cool", "loaf")["end"], 24 * 60)


def _task_cut_short(p: dict[str, Any]) -> None:
    bake = find(p, "bake", "crust")
    bake["start"] = moved(bake["start"], 5)


def _person_swapped(p: dict[str, Any]) -> None:
    for task in p["tasks"]:
        for hands in task["hands"]:
            hands["person"] = "ana" if hands["person"] == "ben" else "ben"


def _stranger(p: dict[str, Any]) -> None:
    find(p, "shape", "loaf")["hands"][0]["person"] = "zoe"


def _hands_gone(p: dict[str, Any]) -> None:
    find(p, "shape", "loaf")["hands"] = []


def _hands_at_one_end_gone(p: dict[str, Any]) -> None:
    find(p, "bake", "loaf")["hands"].pop()


def _hands_where_none_are_needed(p: dict[str, Any]) -> None:
    cool = find(p, "cool", "crust")
    cool["hands"] = [{"person": "ana", "start": cool["start"], "end": cool["end"]}]


def _two_places_at_once(p: dict[str, Any]) -> None:
    one = next(t for t in p["tasks"] if t["hands"])
    other = next(t for t in p["tasks"] if t["hands"] and t is not one)
    other["hands"].append(copy.deepcopy(one["hands"][0]))


def _pause_over_work(p: dict[str, Any]) -> None:
    person = next(q for q in p["people"] if q["breaks"])
    hands = next(h for t in p["tasks"] for h in t["hands"] if h["person"] == person["id"])
    person["breaks"][0].update(start=hands["start"], end=hands["end"])


def _stretch_dropped(p: dict[str, Any]) -> None:
    p["ovens"].pop()


def _stretch_at_another_heat(p: dict[str, Any]) -> None:
    p["ovens"][0]["set_temp_c"] += 10


def _change_too_short(p: dict[str, Any]) -> None:
    p["ovens"][1]["heat_from"] = p["ovens"][1]["start"]


def _stretches_overlap(p: dict[str, Any]) -> None:
    p["ovens"][0]["end"] = moved(p["ovens"][1]["start"], 1)


def _oven_never_heated(p: dict[str, Any]) -> None:
    p["horizon_start"] = p["ovens"][0]["start"]


def _baked_at_the_wrong_heat(p: dict[str, Any]) -> None:
    find(p, "bake", "crust")["set_temp_c"] = 200.0


def _fridge_overloaded(p: dict[str, Any]) -> None:
    find(p, "proof", "loaf")["uses"][0]["amount"] = 13


def _fridge_smaller(p: dict[str, Any]) -> None:
    next(r for r in p["resources"] if r["id"] == "fridge")["capacity"] = 1


def _fewer_people(p: dict[str, Any]) -> None:
    for piece in next(r for r in p["resources"] if r["id"] == "people")["calendar"]:
        piece["capacity"] = 0


def _use_outside_its_task(p: dict[str, Any]) -> None:
    use = find(p, "proof", "loaf")["uses"][0]
    use["end"] = moved(use["end"], 30)


def _pieces_lost(p: dict[str, Any]) -> None:
    p["orders"][0]["lots"][0]["pieces"] -= 1


def _lot_of_another_product(p: dict[str, Any]) -> None:
    p["orders"][0]["lots"][0]["lot"] = next(o for o in p["orders"] if o["product"] == "crust")["lots"][0]["lot"]


def _ready_too_soon(p: dict[str, Any]) -> None:
    p["orders"][0]["ready"] = moved(p["orders"][0]["ready"], -10)


def _late_hushed_up(p: dict[str, Any]) -> None:
    p["orders"][0]["due"] = moved(p["orders"][0]["due"], -300)


def _sponge_after_its_dough(p: dict[str, Any]) -> None:
    for task in p["tasks"]:
        if task["part"] == "sponge":
            shift(task, 300)


def _chain_unlinked(p: dict[str, Any]) -> None:
    bake = find(p, "bake", "loaf")["id"]
    p["links"] = [link for link in p["links"] if link["after"] != bake]


def _stage_twice(p: dict[str, Any]) -> None:
    p["tasks"].append(copy.deepcopy(find(p, "shape", "loaf")))


def _stages_of_a_lot_dropped(p: dict[str, Any]) -> None:
    p["tasks"] = [t for t in p["tasks"] if t["lot"] is None]
    p["links"] = []


def _outside_the_horizon(p: dict[str, Any]) -> None:
    p["horizon_end"] = find(p, "cool", "hearth")["start"]


def _wall_clock_instead_of_utc(p: dict[str, Any]) -> None:
    p["tasks"][0]["start"] = p["tasks"][0]["start"].replace("Z", "+02:00")


def _naive_instant(p: dict[str, Any]) -> None:
    p["orders"][0]["due"] = p["orders"][0]["due"].removesuffix("Z")


def _bowl_overfilled(p: dict[str, Any]) -> None:
    next(b for b in p["batches"] if b["mixer"])["mass_g"] = 50000.0


def _mixer_that_is_not_there(p: dict[str, Any]) -> None:
    next(b for b in p["batches"] if b["mixer"])["mixer"] = "fork"


@pytest.mark.parametrize(
    ("spoil", "kind"),
    [
        (_task_moved, "link"), (_task_too_long, "window"), (_task_cut_short, "window"),
        (_person_swapped, "hands"), (_stranger, "hands"), (_hands_gone, "hands"), (_hands_at_one_end_gone, "hands"),
        (_hands_where_none_are_needed, "hands"), (_two_places_at_once, "hands"), (_pause_over_work, "hands"),
        (_stretch_dropped, "oven"), (_stretch_at_another_heat, "oven"), (_change_too_short, "oven"),
        (_stretches_overlap, "oven"), (_oven_never_heated, "oven"), (_baked_at_the_wrong_heat, "oven"),
        (_fridge_overloaded, "capacity"), (_fridge_smaller, "capacity"), (_fewer_people, "capacity"),
        (_use_outside_its_task, "capacity"), (_pieces_lost, "pieces"), (_lot_of_another_product, "pieces"),
        (_ready_too_soon, "ready"), (_late_hushed_up, "late"), (_sponge_after_its_dough, "link"),
        (_chain_unlinked, "chain"), (_stage_twice, "names"), (_stages_of_a_lot_dropped, "chain"),
        (_outside_the_horizon, "horizon"), (_wall_clock_instead_of_utc, "instant"), (_naive_instant, "instant"),
        (_bowl_overfilled, "mixer"), (_mixer_that_is_not_there, "mixer"),
    ],
)  # fmt: skip
def test_a_spoilt_plan_is_found_out(spoil: Spoil, kind: str) -> None:
    """Limit: one thing is wrong, and the check says so under the right kind."""
    spoilt = plan()
    spoil(spoilt)
    found = violations(spoilt, _PLACE.model_dump(mode="json"))
    assert any(text.startswith(f"{kind}:") for text in found), found
