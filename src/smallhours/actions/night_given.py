"""What a night is asked about otherwise: its documents, and the plan it has if that is still the plan of them."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from smallhours.actions.clock import Clock
from smallhours.actions.night_date import coming_night
from smallhours.actions.permissions import Actor
from smallhours.actions.plan_at_hand import same_orders
from smallhours.actions.plan_night import LONGEST_S, PlanNight, made_from, plan_night
from smallhours.actions.shelf import Shelf, shelf
from smallhours.actions.stored_plan import StoredPlan, stored_plan
from smallhours.bakery.kitchen.document import Kitchen, Temperatures
from smallhours.errors import BadInput, DocumentError, NotFound
from smallhours.planning.engine.progress import Stopper
from smallhours.planning.plan import Plan
from smallhours.planning.whatif.given import Given, given_of
from smallhours.records import queries


@dataclass(frozen=True)
class NightGiven:
    """A night's documents; ``plan``: the plan they have, None if there is none or something has changed since."""

    given: Given
    plan: Plan | None


def night_given(
    night: dt.date | None, actor: Actor, clock: Clock, think_s: float, stop: Stopper | None = None
) -> NightGiven:
    """The night of that day (that of the newest plan, if not said; the coming one, if there is none). If it has no plan
    of its documents as they are, it is planned in ``think_s``; that plan is not kept.

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
    if kept is not None and current:
        plan = kept.plan
    else:
        plan = plan_night(PlanNight(date, think_s, keep=False), actor, clock, stop=stop).plan
    if not plan.tasks:
        orders = held.orders.on(date)
        return NightGiven(Given(held.formulas, orders, kitchen, held.pantry(), date, plan.horizon_start), None)
    return NightGiven(given_of(plan, held.formulas, kitchen, held.pantry()), plan)


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
