"""Plan the rest of a running night anew: read what is followed, let the planner think, keep what it finds."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass

from django.db import transaction

from smallhours.actions.clock import Clock, now
from smallhours.actions.permissions import BAKER, Actor, require
from smallhours.actions.plan_night import check_limit, made_from
from smallhours.actions.shelf import shelf
from smallhours.actions.stored_plan import StoredPlan, stored_plan
from smallhours.bakery.shift.happened import Happened
from smallhours.planning.engine.progress import Progress, Stopper
from smallhours.records import keeping, queries


@dataclass(frozen=True)
class ReplanNight:
    """``happened``: what is to be known (what nothing is said of went as planned). ``night``: the day the bake is sold
    (the newest plan's if not said). ``keep``: whether the new plan is written down and followed from now on.
    """

    happened: Happened
    night: dt.date | None = None
    time_limit_s: float = 2.0
    keep: bool = True
    reason: str = ""


def replan_night(
    command: ReplanNight,
    actor: Actor = BAKER,
    clock: Clock = now,
    on_progress: Callable[[Progress], None] | None = None,
    stop: Stopper | None = None,
) -> StoredPlan:
    """The plan of the rest of the night; its ``id`` is 0 if it was not to be kept. It takes the place of the plan that
    was followed: if that was published, so is this.

    Raises NotFound without a plan, BadInput, Impossible if no plan was found in the time given, NotAllowed.
    """
    require(actor, "plan")
    check_limit(command.time_limit_s)
    held, started = shelf(), clock()
    followed = stored_plan(queries.kept_plan(command.night))

    from smallhours.planning.live.replan import replan  # the solver is slow to import

    plan = replan(
        followed.plan,
        command.happened,
        held.formulas,
        held.the_kitchen(),
        held.pantry(),
        made_at=started,
        time_limit_s=command.time_limit_s,
        on_progress=on_progress,
        stop=stop,
    )
    origin = made_from(held)
    if not command.keep:
        return StoredPlan(0, plan, started, actor.name, False, origin)
    signature = keeping.Signature(actor.name, clock(), command.reason)
    night = plan.night.isoformat()
    with transaction.atomic():
        plan_id = keeping.keep_plan(plan.night, plan.model_dump(mode="json"), started, origin, actor.name)
        details = {"plan": plan_id, "after": followed.id, "night": night, "status": plan.status}
        keeping.write_log(keeping.Done("replan", "plan", night, details=details), signature)
        if followed.published:
            keeping.publish_plan(plan_id)
            keeping.write_log(keeping.Done("publish", "plan", night, details={"plan": plan_id}), signature)
    return StoredPlan(plan_id, plan, started, actor.name, followed.published, origin)
