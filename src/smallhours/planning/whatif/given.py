"""Everything that a plan of a night is made from, in one place, so that it can be varied."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from smallhours.bakery.formula.document import Formula
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.orders.document import Order
from smallhours.bakery.pantry import Pantry
from smallhours.planning.plan import Plan


@dataclass(frozen=True)
class Given:
    """``formulas`` by id, as written; ``orders``: of that day (one for 0 pieces keeps its place and is not made);
    ``start``: nothing may begin before it (noon of the day before, if not said); ``first``: what matters first after
    being on time; ``decks``: decks that stand at one set temperature (°C) all night. ``told``: the plan that people
    know, whose windows hold as long as nothing moves them, and the kitchen it was made for."""

    formulas: Mapping[str, Formula]
    orders: Sequence[Order]
    kitchen: Kitchen
    pantry: Pantry
    night: dt.date
    start: dt.datetime | None = None
    first: tuple[str, ...] | None = None
    decks: tuple[tuple[str, float], ...] = ()
    told: tuple[Plan, Kitchen] | None = None


def given_of(plan: Plan, formulas: Mapping[str, Formula], kitchen: Kitchen, pantry: Pantry) -> Given:
    """What a plan was made from, its orders read off it."""
    zone = plan.zone()
    orders = []
    for order in plan.orders:
        due = order.due.astimezone(zone)
        at = due.time().replace(tzinfo=None)
        orders.append(
            Order(
                customer=order.customer,
                product=order.product,
                date=due.date(),
                due=at,
                pieces=order.pieces,
                free_from=order.free_from,
            )
        )
    return Given(formulas, tuple(orders), kitchen, pantry, plan.night, plan.horizon_start, told=(plan, kitchen))
