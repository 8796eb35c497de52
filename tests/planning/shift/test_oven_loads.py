"""Loads in a deck: what a place needs between two of them, and that steam is kept in (see ``small_bakery``)."""

from __future__ import annotations

from typing import Any

import pytest

from planning.shift.small_bakery import (
    MIDNIGHT,
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
from planning.sound import wrong_with
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.pantry import Pantry
from smallhours.bakery.shift.happened import Happened
from smallhours.errors import DocumentError
from smallhours.planning.live.replan import replan
from smallhours.planning.plan import Plan

MIXERS = [{"id": name, "name": name, "min_dough_g": 100.0, "max_dough_g": 40000.0} for name in ("one", "two")]
PEOPLE = [person("ana"), person("ben"), person("cleo")]
LOAF, RYE = formula(), formula("rye")


def bakehouse(places: int, **more: Any) -> Kitchen:
    """Enough of everything but the one deck."""
    return kitchen(ovens=[oven(places, **more)], mixers=MIXERS, people=PEOPLE, pans=[])


def two(place: Kitchen, rye: Formula = RYE, loaf: Formula = LOAF, due: str = "03:20") -> Plan:
    """Two breads that are ready to be baked at 02:10, if the deck takes them."""
    return planned([loaf, rye], [order("03:20"), order(due, product="rye")], place)


@pytest.mark.parametrize(("said", "rest_min"), [
    ({}, 0), ({"recovery_s": 900.0}, 15), ({"recovery_s": 900.0, "reserve_s": 600.0}, 25),
])  # fmt: skip
def test_a_place_rests_between_two_loads(said: dict[str, float], rest_min: int) -> None:
    """Hand: a deck of 4 places takes one bread of 4 pieces for 30 min; the other is late by these and by its rest."""
    plan = two(bakehouse(4, **said))
    first, second = sorted((task(plan, "bake"), task(plan, "bake", "rye")), key=lambda t: t.start)
    assert second.start - first.end == minutes(rest_min)
    assert sum(each.late_s for each in plan.orders) == (30 + rest_min) * 60
    assert all(use.end <= each.end for each in (first, second) for use in each.uses)


def test_two_loads_side_by_side_need_no_rest() -> None:
    """Limit: where both fit at once, neither is late, whatever a place needs between two loads."""
    assert not any(each.late_s for each in two(bakehouse(8, recovery_s=1800.0)).orders)


def test_a_load_that_comes_too_soon_is_found() -> None:
    """Behaviour: the plan for an oven that needs no rest, held against one that needs a quarter of an hour."""
    plan = two(bakehouse(4))
    found = wrong_with(plan, bakehouse(4, recovery_s=900.0))
    assert [line for line in found if "after its place was used" in line]


def later_rye() -> Formula:
    """A rye that is ready to be baked three minutes after the loaf."""
    return formula("rye", chain=stages(("ferment", {"duration_s": 63 * 60.0})))


def steamed(**more: Any) -> Formula:
    """The loaf, with steam."""
    return formula(chain=stages(("bake", {"steam": True, **more})))


@pytest.mark.parametrize(("loaf", "late_min"), [
    (LOAF, 0), (steamed(), 4), (steamed(shut_s=300.0), 2), (steamed(shut_s=120.0), 0),
])  # fmt: skip
def test_nothing_goes_in_while_a_load_has_its_steam(loaf: Formula, late_min: int) -> None:
    """Hand: the loaf could go in at 02:10, the rye at 02:13. With ten minutes of steam the rye would be 7 min late, so
    the loaf waits until it is in, to 02:14, and is 4 min late; with five minutes the rye waits to 02:15, 2 min late."""
    plan = two(bakehouse(8, steam=True), later_rye(), loaf, "03:23")
    assert sum(each.late_s for each in plan.orders) == late_min * 60
    loaf_in, rye_in = task(plan, "bake").start, task(plan, "bake", "rye").start
    if late_min:
        assert (loaf_in, rye_in) == {
            4: (MIDNIGHT + minutes(134), MIDNIGHT + minutes(133)),
            2: (MIDNIGHT + minutes(130), MIDNIGHT + minutes(135)),
        }[late_min]


def test_nothing_comes_out_while_a_load_has_its_steam() -> None:
    """Hand: a flat bread of 5 min that is ready with the loaf would come out in its steam: one of them waits."""
    flat = formula("rye", chain=stages(("bake", {"duration_s": 300.0})))
    plan = two(bakehouse(8, steam=True), flat, steamed(), "02:55")
    loaf, rye = task(plan, "bake"), task(plan, "bake", "rye")
    assert rye.end <= loaf.start or rye.end >= loaf.start + minutes(10)
    assert sum(each.late_s for each in plan.orders) == 5 * 60


def test_a_door_that_opens_too_soon_is_found() -> None:
    """Behaviour: a plan without steam, of which it is then said that the loaf had some."""
    plan = two(bakehouse(8, steam=True), later_rye(), LOAF, "03:23")
    loaf = task(plan, "bake")
    tasks = tuple(t.model_copy(update={"steam": True, "shut_s": 600.0}) if t is loaf else t for t in plan.tasks)
    found = wrong_with(plan.model_copy(update={"tasks": tasks}))
    assert [line for line in found if "has its steam" in line]


def test_another_deck_may_open() -> None:
    """Limit: on two decks of one oven nobody waits for the other's steam."""
    both = oven(8, steam=True, decks=[{"id": "top", "tray_places": 4}, {"id": "bottom", "tray_places": 4}])
    place = kitchen(ovens=[both], mixers=MIXERS, people=PEOPLE, pans=[])
    assert not any(each.late_s for each in two(place, later_rye(), steamed(), "03:23").orders)


def test_a_place_rests_while_the_night_is_planned_anew() -> None:
    """Hand: asked right after the first load came out, the second still goes in when its place has recovered."""
    place = bakehouse(4, recovery_s=900.0)
    plan = two(place)
    first, second = sorted((task(plan, "bake"), task(plan, "bake", "rye")), key=lambda t: t.start)
    happened = Happened.read({"now": first.end + minutes(2)}, "what happened")
    after = replan(
        plan, happened, {"loaf": LOAF, "rye": RYE}, place, Pantry(), made_at=MIDNIGHT, time_limit_s=4.0, workers=1,
        deterministic=True,
    )  # fmt: skip
    assert wrong_with(after, place) == []
    assert after.task(second.id).start == second.start


def test_steam_that_is_not_wanted_has_no_length() -> None:
    """Bad input: how long an oven stays shut, of a bake without steam."""
    with pytest.raises(DocumentError, match="no steam is wanted"):
        formula(chain=stages(("bake", {"shut_s": 300.0})))
