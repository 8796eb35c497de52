"""Three nights in small kitchens nobody thought of: together they never use more than there is."""

from __future__ import annotations

import datetime as dt
import random
from typing import Any

import pytest

from planning.shift.small_bakery import MADE_AT, NIGHT, formula, kitchen, minutes, oven, person, stages
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.orders.document import Order
from smallhours.bakery.pantry import Pantry
from smallhours.planning.check.case import Documents
from smallhours.planning.check.days import between
from smallhours.planning.days.plan_days import plan_days
from smallhours.planning.plan import Hands, Plan

DUES = (dt.time(0, 20), dt.time(1), dt.time(5, 30), dt.time(13), dt.time(22), dt.time(23, 40))
PRODUCTS = ("loaf", "crust")
COLD_WAY = {"place": "fridge", "duration_s": 36000.0, "min_s": 28800.0, "max_s": 54000.0, "at_temp_c": 4.0}


def any_kitchen(dice: random.Random) -> Kitchen:
    """One mixer, an oven of few places, one or two people around the clock with a pause."""
    rest = [{"earliest": "10:00:00", "latest": "16:00:00", "duration_s": 1800.0}]
    people = [person("ana", hours=[{"start": "00:00:00", "end": "00:00:00"}], breaks=rest)]
    if dice.random() < 0.5:
        people.append(person("ben", "20:00:00", "08:00:00"))
    return kitchen(
        people=people,
        ovens=[oven(dice.choice([4, 8]), cool_k_per_min=dice.choice([2.0, 5.0]))],
        cold=[{"id": "cold", "name": "Cold", "temp_c": 4.0, "tray_places": dice.choice([4, 8])}],
        racks=[{"id": "rack", "name": "Rack", "count": 1, "tray_places": 12}],
    )


def three_nights(seed: int) -> tuple[Kitchen, list[Plan]]:
    """The kitchen of that number and its nights."""
    dice = random.Random(seed)
    place = any_kitchen(dice)
    made = [
        formula(pan="tin", chain=stages(("proof", {"instead": [COLD_WAY]}))),
        formula("crust", stages(("bake", {"set_temp_c": dice.choice([200.0, 240.0, 250.0])}))),
    ]
    nights: dict[dt.date, list[Order]] = {}
    for offset in range(3):
        night = NIGHT + dt.timedelta(days=offset)
        nights[night] = [
            Order(customer="Shop", product=dice.choice(PRODUCTS), date=night, due=due, pieces=dice.choice([2, 4]))
            for due in dice.sample(DUES, 2)
        ]
    settings: dict[str, Any] = {"workers": 1, "deterministic": True, "time_limit_s": 0.4, "polish_s": 0.2}
    written = {each.id: each for each in made}
    return place, list(plan_days(written, nights, place, Pantry(), made_at=lambda: MADE_AT, **settings))


@pytest.mark.parametrize("seed", range(4))
def test_no_resource_is_over_booked_across_nights(seed: int) -> None:
    """Behaviour: the plans of three nights together use no more of anything than there is."""
    place, plans = three_nights(seed)
    assert all(plan.tasks for plan in plans)
    assert between(plans, Documents(place)) == ()


def test_the_check_across_nights_finds_what_is_over_booked() -> None:
    """Behaviour: a night that comes once more at the same time, or a minute later, is found out."""
    place, (first, *_) = three_nights(1)
    later = [t.model_copy(update={"hands": tuple(_a_minute_later(h) for h in t.hands)}) for t in first.tasks]
    for tasks in (first.tasks, tuple(later)):
        twin = first.model_copy(update={"night": first.night + dt.timedelta(days=9), "tasks": tasks})
        assert any("at once" in str(v) for v in between([first, twin], Documents(place)))


def _a_minute_later(hands: Hands) -> Hands:
    return hands.model_copy(update={"start": hands.start + minutes(1), "end": hands.end + minutes(1)})
