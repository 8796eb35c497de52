"""The days ahead: what has to be begun on which day, and until when an order can still be met; writes nothing."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from smallhours.actions.clock import Clock, now
from smallhours.actions.permissions import BAKER, Actor, require
from smallhours.actions.shelf import shelf
from smallhours.actions.stored_plan import stored_plan
from smallhours.errors import DocumentError, NotFound
from smallhours.planning.days.document import Ahead
from smallhours.planning.plan import Plan
from smallhours.records import queries


@dataclass(frozen=True)
class LookAhead:
    """``days`` from ``first`` on (today on the kitchen's clock, if not said)."""

    first: dt.date | None = None
    days: int = 3


def look_ahead(command: LookAhead = LookAhead(), actor: Actor = BAKER, clock: Clock = now) -> Ahead:
    """What has to be fed, soaked, made, loaded and taken out, from plans where there are any, and all cut-offs.

    Raises NotFound without a kitchen, BadInput for too many days, NotAllowed.
    """
    require(actor, "look")
    held = shelf()
    began = clock()
    kitchen = held.the_kitchen()
    first = began.astimezone(kitchen.zone()).date() if command.first is None else command.first

    from smallhours.planning.days.ahead import ahead, nights_to_look_at
    from smallhours.planning.days.begun import Days

    nights = nights_to_look_at(first, command.days)
    plans = {night: plan for night in nights if (plan := _plan(night)) is not None}
    orders = {night: held.orders.on(night) for night in nights}
    days = Days(held.formulas, kitchen, held.pantry())
    return ahead(days, orders, first, command.days, made_at=began, plans=plans)


def _plan(night: dt.date) -> Plan | None:
    try:
        return stored_plan(queries.kept_plan(night)).plan
    except (NotFound, DocumentError):
        return None
