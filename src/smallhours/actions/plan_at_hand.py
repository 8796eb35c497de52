"""Is there already a plan of that night that nothing has overtaken?"""

from __future__ import annotations

import datetime as dt

from smallhours.actions.clock import Clock, now
from smallhours.actions.night_date import coming_night
from smallhours.actions.permissions import BAKER, Actor, require
from smallhours.actions.plan_night import made_from
from smallhours.actions.shelf import Shelf, shelf
from smallhours.actions.stored_plan import StoredPlan, stored_plan
from smallhours.bakery.kitchen.clock import instant
from smallhours.errors import DocumentError, NotFound
from smallhours.planning.plan import Plan
from smallhours.records import queries


def plan_at_hand(night: dt.date | None = None, actor: Actor = BAKER, clock: Clock = now) -> StoredPlan | None:
    """The kept plan of a night (the coming one if not said), if formulas, ingredients, kitchen and that day's orders
    are still what it was made from; else None. Raises NotFound without a kitchen, NotAllowed."""
    require(actor, "look")
    held = shelf()
    date = coming_night(held.the_kitchen(), clock()) if night is None else night
    try:
        kept = stored_plan(queries.kept_plan(date))
    except (NotFound, DocumentError):  # none, or one of an older kind
        return None
    if dict(kept.made_from) != made_from(held):
        return None
    return kept if same_orders(kept.plan, held, date) else None


def same_orders(plan: Plan, held: Shelf, date: dt.date) -> bool:
    """Whether a plan was made for the orders that the book holds for a day."""
    planned = sorted((order.customer, order.product, order.pieces, order.due) for order in plan.orders)
    zone = held.the_kitchen().zone()
    wanted = sorted(
        (order.customer, order.product, order.pieces, instant(order.date, order.due, zone))
        for order in held.orders.on(date)
    )
    return planned == wanted
