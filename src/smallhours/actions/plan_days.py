"""Plan several nights, one around the other, each kept as a plan of its own as soon as it is found."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from smallhours.actions.beside import beside
from smallhours.actions.clock import Clock, now
from smallhours.actions.night_date import coming_night
from smallhours.actions.permissions import BAKER, Actor, require
from smallhours.actions.plan_night import check_limit, kept, made_from, tonight
from smallhours.actions.shelf import shelf
from smallhours.actions.stored_plan import StoredPlan
from smallhours.bakery.kitchen.document import Temperatures
from smallhours.errors import BadInput
from smallhours.planning.engine.progress import Stopper
from smallhours.planning.odds.margins import checked_margins_s
from smallhours.records.keeping import Signature

if TYPE_CHECKING:
    from smallhours.planning.days.plan_days import NightProgress

MOST_DAYS = 31


@dataclass(frozen=True)
class PlanDays:
    """``first_night``: the day the first bake is sold (the coming one if not said), and so many ``days`` from it on;
    everything else as for one night, ``time_limit_s`` for each of them."""

    first_night: dt.date | None = None
    days: int = 3
    time_limit_s: float = 60.0
    temperatures: Temperatures | None = None
    from_now: bool = False
    reason: str = ""
    margin_s: float = 0.0
    first: tuple[str, ...] | None = None


def plan_days(
    command: PlanDays = PlanDays(),
    actor: Actor = BAKER,
    clock: Clock = now,
    on_progress: NightProgress | None = None,
    stop: Stopper | None = None,
) -> Iterator[StoredPlan]:
    """The plans of the coming nights, earliest first; what the plans of nights around them take stays theirs.

    A closed day, or one without orders, gets an empty plan. After ``stop`` the night being planned is the last one.
    Raises NotFound without a kitchen, BadInput, NotAllowed.
    """
    require(actor, "plan")
    check_limit(command.time_limit_s)
    (margin_s,) = checked_margins_s([command.margin_s])
    if not 1 <= command.days <= MOST_DAYS:
        raise BadInput(f"the number of nights (--days) must be 1 to {MOST_DAYS} (found {command.days})")
    held = shelf()
    began = clock()
    kitchen = tonight(held.the_kitchen(), command.temperatures)
    first = coming_night(kitchen, began) if command.first_night is None else command.first_night
    nights = [first + dt.timedelta(days=n) for n in range(command.days)]
    others = {plan.night: plan for night in (nights[0], nights[-1]) for plan in beside(night)}

    from smallhours.planning.days.plan_days import plan_days as think  # the solver is slow to import

    origin = made_from(held, command.temperatures)
    plans = think(
        held.formulas,
        {night: held.orders.on(night) for night in nights},
        kitchen,
        held.pantry(),
        made_at=clock,
        not_before=began if command.from_now else None,
        beside=list(others.values()),
        first=command.first,
        time_limit_s=command.time_limit_s,
        margin_s=margin_s,
        on_progress=on_progress,
        stop=stop,
    )
    for plan in plans:
        yield kept(plan, plan.made_at, origin, Signature(actor.name, clock(), command.reason))
