"""What is spoilt in a good plan is found under its kind, so that the sentence tells a baker where to look."""

from __future__ import annotations

import copy
from collections.abc import Callable
from typing import Any

import pytest

from planning.check.good_night import found_in, plan
from planning.check.spoilings import moved, shift

Spoil = Callable[[dict[str, Any]], None]


def find(plan: dict[str, Any], kind: str, of: str) -> dict[str, Any]:
    """The first task of that kind of a product."""
    return next(t for t in plan["tasks"] if t["kind"] == kind and t["formula"] == of)


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


def _fridge_not_entered(p: dict[str, Any]) -> None:
    find(p, "proof", "loaf")["uses"] = [u for u in find(p, "proof", "loaf")["uses"] if u["resource"] != "fridge"]


def _tins_forgotten(p: dict[str, Any]) -> None:
    find(p, "proof", "loaf")["uses"] = [u for u in find(p, "proof", "loaf")["uses"] if u["resource"] != "tin"]


def _tins_hot(p: dict[str, Any]) -> None:
    cool = find(p, "pans-cool", "loaf")
    for piece in (cool, *cool["uses"]):
        piece["end"] = moved(piece["end"], -5)
    cool["window"].update(min_s=600.0, preferred_s=600.0)


def _bread_of_yesterday(p: dict[str, Any]) -> None:
    p["orders"][0]["customer"] = "Yesterday"


def _stage_forgotten(p: dict[str, Any]) -> None:
    cool = find(p, "cool", "hearth")
    p["tasks"] = [t for t in p["tasks"] if t["lot"] != cool["lot"] or t["kind"] != "cool"]
    p["links"] = [link for link in p["links"] if cool["id"] not in (link["before"], link["after"])]


def _longer_hours(p: dict[str, Any]) -> None:
    p["people"][1]["hours"][0]["end"] = moved(p["people"][1]["hours"][0]["end"], 60)


def _oven_heats_by_magic(p: dict[str, Any]) -> None:
    for resource in p["resources"]:
        resource["change_s"] = dict.fromkeys(resource["change_s"], 0.0)
    for stretch in p["ovens"]:
        stretch["heat_from"] = stretch["start"]


def _wait_in_the_room(p: dict[str, Any]) -> None:
    cool = find(p, "cool", "crust")
    cool["start"] = moved(cool["start"], 5)
    for use in cool["uses"]:
        use["start"] = cool["start"]
    for link in p["links"]:
        link["max_s"] = None


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
        (_person_swapped, "hands"), (_stranger, "names"), (_hands_gone, "hands"), (_hands_at_one_end_gone, "hands"),
        (_hands_where_none_are_needed, "hands"), (_two_places_at_once, "hands"), (_pause_over_work, "hands"),
        (_stretch_dropped, "oven"), (_stretch_at_another_heat, "oven"), (_change_too_short, "oven"),
        (_stretches_overlap, "oven"), (_oven_never_heated, "oven"), (_baked_at_the_wrong_heat, "oven"),
        (_fridge_overloaded, "capacity"), (_fridge_smaller, "capacity"), (_fewer_people, "capacity"),
        (_use_outside_its_task, "horizon"), (_pieces_lost, "pieces"), (_lot_of_another_product, "pieces"),
        (_ready_too_soon, "ready"), (_late_hushed_up, "late"), (_sponge_after_its_dough, "link"),
        (_chain_unlinked, "chain"), (_stage_twice, "names"), (_stages_of_a_lot_dropped, "chain"),
        (_outside_the_horizon, "horizon"), (_wall_clock_instead_of_utc, "instant"), (_naive_instant, "document"),
        (_fridge_not_entered, "place"), (_tins_forgotten, "place"), (_tins_hot, "place"), (_wait_in_the_room, "chain"),
        (_bread_of_yesterday, "orders"), (_stage_forgotten, "formula"), (_longer_hours, "kitchen"),
        (_oven_heats_by_magic, "oven"), (_bowl_overfilled, "mixer"), (_mixer_that_is_not_there, "mixer"),
    ],
)  # fmt: skip
def test_a_spoilt_plan_is_found_out(spoil: Spoil, kind: str) -> None:
    """Limit: one thing is wrong, and the check says so under the right kind."""
    spoilt = plan()
    spoil(spoilt)
    found = found_in(spoilt)
    assert any(text.startswith(f"{kind}:") for text in found), found
