"""A plan is shown again only while it still holds."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

from smallhours.actions.plan_at_hand import plan_at_hand
from smallhours.actions.plan_night import PlanNight, plan_night
from smallhours.actions.save_formula import SaveFormula, save_formula
from smallhours.actions.save_orders import SaveOrders, save_orders
from smallhours.bakery.kitchen.document import Temperatures
from smallhours.bakery.orders.document import Order, OrderBook
from smallhours.records import queries

NIGHT = dt.date(2026, 1, 15)


def _clock() -> dt.datetime:
    return dt.datetime(2026, 1, 14, 10, 0, tzinfo=dt.UTC)


def test_a_plan_holds_until_something_overtakes_it(bakery: Path) -> None:
    """Behaviour: none before there is one; the same one until an order of that day or a formula changes."""
    assert plan_at_hand(clock=_clock) is None
    stored = plan_night(PlanNight(None, 2.0), clock=_clock)
    again = plan_at_hand(clock=_clock)
    assert again is not None
    assert again.id == stored.id
    order = Order(customer="Late caller", product="hearth-loaf", date=NIGHT, due=dt.time(6), pieces=6)
    save_orders(SaveOrders(OrderBook(single=(order,))))
    assert plan_at_hand(clock=_clock) is None
    newer = plan_night(PlanNight(None, 2.0), clock=_clock)
    assert plan_at_hand(clock=_clock) == newer
    loaf = queries.kept_formula("hearth-loaf").document
    save_formula(SaveFormula(loaf.model_copy(update={"note": "a little longer"})))
    assert plan_at_hand(clock=_clock) is None


def test_a_plan_for_other_temperatures_does_not_count(bakery: Path) -> None:
    """Behaviour: what was planned for a room said on the command line is not the kitchen's plan."""
    plan_night(PlanNight(NIGHT, 2.0, Temperatures(room_c=12.0)), clock=_clock)
    assert plan_at_hand(NIGHT, clock=_clock) is None
