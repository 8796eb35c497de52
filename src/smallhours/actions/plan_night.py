"""Plan a night: read the documents, let the planner think (outside any transaction), keep the plan."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.db import transaction

from smallhours.actions.beside import beside
from smallhours.actions.clock import Clock, now
from smallhours.actions.night_date import coming_night
from smallhours.actions.permissions import BAKER, Actor, require
from smallhours.actions.shelf import Shelf, shelf
from smallhours.actions.stored_plan import StoredPlan
from smallhours.bakery.kitchen.document import Kitchen, Temperatures
from smallhours.errors import BadInput
from smallhours.planning.engine.progress import Progress, Stopper
from smallhours.planning.odds.margins import checked_margins_s
from smallhours.planning.odds.night_odds import night_odds
from smallhours.planning.plan import Plan
from smallhours.records.keeping import Done, Signature, keep_plan, write_log

LONGEST_S = 3600.0


@dataclass(frozen=True)
class PlanNight:
    """``night``: the day the bake is sold (the coming one if not said). ``time_limit_s``: how long the planner may
    think. ``temperatures``: tonight's, in place of the kitchen's. ``keep``: whether the plan is written down.
    ``from_now``: nothing may begin before this moment (else from noon of the day before on, also if that is past).
    ``first``: what matters first after being on time, as the kitchen says if None (hours, freshness, lengths,
    oven). ``margin_s``: how long before it is due every order is wanted ready. ``alone``: as if no other night were
    planned; else what the plans of other nights take stays theirs.
    """

    night: dt.date | None = None
    time_limit_s: float = 60.0
    temperatures: Temperatures | None = None
    keep: bool = True
    from_now: bool = False
    reason: str = ""
    margin_s: float = 0.0
    first: tuple[str, ...] | None = None
    alone: bool = False


def plan_night(
    command: PlanNight = PlanNight(),
    actor: Actor = BAKER,
    clock: Clock = now,
    on_progress: Callable[[Progress], None] | None = None,
    stop: Stopper | None = None,
) -> StoredPlan:
    """The plan of a night; its ``id`` is 0 if it was not to be kept, or if none was found.

    ``on_progress`` is called with each better plan or bound while the planner thinks; ``stop``, called from another
    thread or a signal, ends the search with the best plan so far.

    Raises NotFound without a kitchen, BadInput, NotAllowed.
    """
    require(actor, "plan")
    check_limit(command.time_limit_s)
    (margin_s,) = checked_margins_s([command.margin_s])
    held = shelf()
    started = clock()
    kitchen = tonight(held.the_kitchen(), command.temperatures)
    night = coming_night(kitchen, started) if command.night is None else command.night

    from smallhours.planning.shift.plan_night import plan_night as think  # the solver is slow to import

    plan = think(
        held.formulas,
        held.orders.on(night),
        kitchen,
        held.pantry(),
        night,
        made_at=started,
        start=started if command.from_now else None,
        time_limit_s=command.time_limit_s,
        first=command.first,
        margin_s=margin_s,
        beside=() if command.alone else beside(night),
        on_progress=on_progress,
        stop=stop,
    )
    origin = made_from(held, command.temperatures)
    return kept(plan, started, origin, Signature(actor.name, clock(), command.reason), command.keep)


def kept(
    plan: Plan, started: dt.datetime, origin: dict[str, Any], signature: Signature, keep: bool = True
) -> StoredPlan:  # fmt: skip
    """A new plan with its odds, written down with its log line unless it is not to be kept, or is none."""
    if plan.tasks:
        plan = plan.model_copy(update={"odds": night_odds(plan)})
    found = bool(plan.tasks) or plan.status == "empty"  # what is no plan must not hide the last one
    if not keep or not found:
        return StoredPlan(0, plan, started, signature.author, False, origin)
    night = plan.night
    with transaction.atomic():
        plan_id = keep_plan(night, plan.model_dump(mode="json"), started, origin, signature.author)
        details = {"plan": plan_id, "night": night.isoformat(), "status": plan.status}
        write_log(Done("plan", "plan", night.isoformat(), details=details), signature)
    return StoredPlan(plan_id, plan, started, signature.author, False, origin)


def check_limit(time_limit_s: float) -> None:
    """Raises BadInput for a time that the planner cannot think."""
    if not 0 < time_limit_s <= LONGEST_S:
        raise BadInput(
            f"the limit (--limit), the seconds to think, must be above 0 and at most {LONGEST_S:g} "
            f"(found {time_limit_s:g})"
        )


def tonight(kitchen: Kitchen, temperatures: Temperatures | None) -> Kitchen:
    """A kitchen with tonight's temperatures, if they were said."""
    return kitchen if temperatures is None else kitchen.model_copy(update={"temperatures": temperatures})


def made_from(held: Shelf, temperatures: Temperatures | None = None) -> dict[str, Any]:
    """The revisions that a plan made now rests on, and the temperatures said for it alone."""
    kitchen = held.the_kitchen()
    origin: dict[str, Any] = {
        "formulas": dict(held.formula_numbers),
        "ingredients": dict(held.ingredient_numbers),
        "kitchen": [kitchen.id, held.kitchen_number],
    }
    if temperatures is not None:
        origin["temperatures"] = temperatures.to_json_data()
    return origin
