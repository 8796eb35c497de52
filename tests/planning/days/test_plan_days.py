"""Nights that share a kitchen: what one takes, the next leaves to it."""

from __future__ import annotations

import datetime as dt
import itertools
from collections.abc import Mapping, Sequence
from typing import Any

import pytest

from planning.shift.small_bakery import MADE_AT, NIGHT, formula, kitchen, minutes, order, oven, person, stages, task
from planning.sound import wrong_with
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.orders.document import Order, OrderBook, StandingOrder
from smallhours.bakery.pantry import Pantry
from smallhours.errors import BadInput
from smallhours.planning.check.case import Documents
from smallhours.planning.check.days import between
from smallhours.planning.days.plan_days import plan_days
from smallhours.planning.plan import Plan

NEXT = NIGHT + dt.timedelta(days=1)
ALL_DAY = (person("ana", hours=[{"start": "00:00:00", "end": "00:00:00"}]),)


def planned(
    formulas: Sequence[Formula],
    nights: Mapping[dt.date, Sequence[Order]],
    place: Kitchen,
    *,
    limit: float = 6.0,
    **more: Any,
) -> list[Plan]:
    """The plans of some nights, each gone over by the outsider's check, and all of them together."""
    written = {each.id: each for each in formulas}
    settings = {"workers": 1, "deterministic": True, "time_limit_s": limit, "polish_s": limit / 2, **more}
    plans = list(plan_days(written, nights, place, Pantry(), made_at=lambda: MADE_AT, **settings))
    for plan in plans:
        assert wrong_with(plan, place, written) == []
    assert between(plans, Documents(place, written)) == ()
    return plans


def test_an_oven_that_another_night_needs_is_left_as_it_stands() -> None:
    """Hand: the first night has the only deck at 200 °C for its bake, due 23:50, from 22:40 to 23:10 at the latest.

    The next night's crust, at 250 °C, is due at 00:00 and wants 22:50 to 23:20. It may wait on its rack after the oven,
    so it is baked before: down from 250 to 200 °C takes 10 min at 5 K a minute. By itself it would be baked later.
    """
    place = kitchen(people=ALL_DAY, racks=[{"id": "rack", "name": "Rack", "count": 1, "tray_places": 40}])
    made = [formula(), formula("crust", stages(("bake", {"set_temp_c": 250.0})))]
    late, early = order("23:50", product="loaf"), order("00:00", product="crust", night=NEXT)
    first, second = planned(made, {NIGHT: [late], NEXT: [early]}, place)
    assert not any(each.late_s for plan in (first, second) for each in plan.orders)
    bakes = task(first, "bake"), task(second, "bake", "crust")
    assert bakes[1].end <= bakes[0].start - minutes(10)
    (alone,) = planned(made, {NEXT: [early]}, place)
    assert task(alone, "bake", "crust").end > bakes[0].start - minutes(10)


def test_hands_of_another_night_are_not_there() -> None:
    """Hand: two nights' doughs are due within ten minutes; each is mixed and shaped for ten minutes by the one baker.

    The second is 200 minutes long, too, and its hands are free only before or after those of the first.
    """
    place = kitchen(people=ALL_DAY)
    nights = {NIGHT: [order("23:50")], NEXT: [order("00:00", night=NEXT)]}
    first, second = planned([formula()], nights, place)
    held = sorted((h.start, h.end) for plan in (first, second) for t in plan.tasks for h in t.hands)
    assert all(before[1] <= after[0] for before, after in itertools.pairwise(held))
    assert {taken.person for taken in second.taken if taken.person} == {"ana"}
    assert not first.taken


def test_what_is_taken_may_make_an_order_late() -> None:
    """Hand: the baker comes at 20:30, so that the first bread, 200 minutes long and due at 23:50, is in the oven
    from 22:40 to 23:10. The deck is switched on for it at 22:22.

    The next night's crust is mixed from 20:40 on at the earliest, and could be in the oven at 22:50. It has to wait
    until the deck has got from 200 to 250 °C: 23:10 and 5 min. It is baked until 23:45 and cool at 00:25.
    """
    made = [formula(), formula("crust", stages(("bake", {"set_temp_c": 250.0})))]
    nights = {NIGHT: [order("23:50")], NEXT: [order("00:00", product="crust", night=NEXT)]}
    first, second = planned(made, nights, kitchen(people=[person("ana", "20:30:00", "10:00:00")]))
    assert task(first, "bake").end == first.orders[0].due - minutes(40)
    assert second.orders[0].late_s == 25 * 60.0
    (why,) = second.late
    assert why.resource == "oven.deck"
    assert why.behind == ("another night",)


def test_a_pause_that_was_taken_is_not_taken_again() -> None:
    """Hand: the first plan has the baker's only pause of the shift; the second shows the same one, and the next."""
    place = kitchen(people=[person("ana", "14:00:00", "23:59:00", breaks=[
        {"earliest": "15:00:00", "latest": "19:00:00", "duration_s": 1800.0}])])  # fmt: skip
    nights = {NIGHT: [order("20:00")], NEXT: [order("04:00", night=NEXT)]}
    chain = stages(("cool", {"max_s": 20 * 3600.0}))
    first, second = planned([formula(chain=chain)], nights, place)
    pauses = [[piece.start for who in plan.people for piece in who.breaks] for plan in (first, second)]
    assert [at.date() for at in pauses[0]] == [NIGHT - dt.timedelta(days=1), NIGHT]
    assert pauses[1][0] == pauses[0][1]


@pytest.mark.parametrize("last", [dt.date(2026, 3, 30), dt.date(2026, 10, 26)])
def test_nights_over_a_change_of_the_clocks(last: dt.date) -> None:
    """Behaviour: standing orders for 05:30 on the wall are met on four days around the night the clocks change.

    From one due time to the next it is 24 hours, and 23 (25) over the night of the change.
    """
    book = OrderBook(standing=(StandingOrder(customer="Shop", product="loaf", due=dt.time(5, 30), pieces=4),),
                     closed=(last - dt.timedelta(days=3),))  # fmt: skip
    days = [last - dt.timedelta(days=back) for back in (3, 2, 1, 0)]
    place = kitchen(timezone="Europe/Madrid", people=[person("ana", "21:00:00", "07:00:00")])
    plans = planned([formula()], {day: book.on(day) for day in days}, place, limit=2.0)
    assert [plan.status == "empty" for plan in plans] == [True, False, False, False]
    dues = [each.due for plan in plans for each in plan.orders]
    assert not any(each.late_s for plan in plans for each in plan.orders)
    apart = [(after - before).total_seconds() / 3600 for before, after in itertools.pairwise(dues)]
    assert apart == [{3: 23.0, 10: 25.0}[last.month], 24.0]
    assert [due.astimezone(plans[0].zone()).time() for due in dues] == [dt.time(5, 30)] * 3


def test_more_nights_than_can_be_planned() -> None:
    """Bad input: a plan of more than a month."""
    nights = {NIGHT + dt.timedelta(days=n): () for n in range(32)}
    with pytest.raises(BadInput, match="32 nights are too many"):
        list(plan_days({}, nights, kitchen(), Pantry(), made_at=lambda: MADE_AT))


def test_an_oven_may_be_shared_at_one_temperature() -> None:
    """Hand: both nights bake four trays at 200 °C at nearly the same time; the deck has eight places."""
    place = kitchen(people=[person("ana", hours=[{"start": "00:00:00", "end": "00:00:00"}]),
                            person("ben", hours=[{"start": "00:00:00", "end": "00:00:00"}])],
                    ovens=[oven(8)])  # fmt: skip
    nights = {NIGHT: [order("23:50")], NEXT: [order("00:00", night=NEXT)]}
    first, second = planned([formula()], nights, place)
    assert not any(each.late_s for plan in (first, second) for each in plan.orders)
