"""What a night is asked about otherwise: its documents, and the plan it has if that is still the plan of them."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from smallhours.actions.clock import Clock, now
from smallhours.actions.night_date import coming_night
from smallhours.actions.plan_at_hand import same_orders
from smallhours.actions.plan_night import LONGEST_S, made_from
from smallhours.actions.shelf import Shelf, shelf
from smallhours.actions.stored_plan import StoredPlan, stored_plan
from smallhours.bakery.kitchen.document import Kitchen, Temperatures
from smallhours.errors import BadInput, DocumentError, NotFound
from smallhours.planning.plan import Plan
from smallhours.planning.whatif.given import Given
from smallhours.records import queries


@dataclass(frozen=True)
class NightGiven:
    """A night's documents; ``plan``: the plan they have, None if there is none or something has changed since."""

    given: Given
    plan: Plan | None


def night_given(night: dt.date | None = None, clock: Clock = now) -> NightGiven:
    """The night of that day (that of the newest plan, if not said; the coming one, if there is none).

    Raises: NotFound without a kitchen, BadInput for a night that runs already.
    """
    held = shelf()
    kept = _kept(night)
    date = night or (kept.plan.night if kept is not None else coming_night(held.the_kitchen(), clock()))
    if kept is not None and kept.plan.happened is not None:
        raise BadInput(
            f"the night to {date} runs already: try what happens or is wanted otherwise with smallhours replan --try"
        )
    current = kept is not None and _is_current(kept, held, date)
    kitchen = _kitchen_of(held, kept) if kept is not None and current else held.the_kitchen()
    plan = kept.plan if kept is not None and current else None
    start = plan.horizon_start if plan is not None else None
    given = Given(held.formulas, held.orders.on(date), kitchen, held.pantry(), date, start)
    if plan is not None and plan.tasks:
        given = _in_order(given, plan)
    return NightGiven(given, plan)


def _in_order(given: Given, plan: Plan) -> Given:
    """The orders in the order of the plan, so that one can be told by the other's place."""
    from smallhours.planning.whatif.given import given_of

    return given_of(plan, given.formulas, given.kitchen, given.pantry)


def _kept(night: dt.date | None) -> StoredPlan | None:
    try:
        return stored_plan(queries.kept_plan(night))
    except (NotFound, DocumentError):
        return None


def _is_current(kept: StoredPlan, held: Shelf, date: dt.date) -> bool:
    rests_on = {name: value for name, value in kept.made_from.items() if name != "temperatures"}
    return rests_on == made_from(held) and same_orders(kept.plan, held, date)


def _kitchen_of(held: Shelf, kept: StoredPlan) -> Kitchen:
    """The kitchen with the temperatures that were said for that plan alone."""
    kitchen = held.the_kitchen()
    if "temperatures" not in kept.made_from:
        return kitchen
    said = Temperatures.read(kept.made_from["temperatures"], f"plan {kept.id}, temperatures")
    return kitchen.model_copy(update={"temperatures": said})


def checked_limit_s(limit_s: float) -> float:
    """A time limit (s). Raises BadInput."""
    if not 0 < limit_s <= LONGEST_S:
        raise BadInput(
            f"the limit (--limit), the seconds to think, must be above 0 and at most {LONGEST_S:g} (found {limit_s:g})"
        )
    return limit_s
