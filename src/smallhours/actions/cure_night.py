"""What would cure what is late in a night, and what a night that is on time has left; writes nothing."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass

from smallhours.actions.clock import Clock, now
from smallhours.actions.night_given import checked_limit_s, night_given
from smallhours.actions.permissions import BAKER, Actor, require
from smallhours.planning.engine.progress import Stopper
from smallhours.planning.whatif.document import Cures, Headroom

PLAN_SHARE = 0.3  # of the time, for planning a night that has no plan yet
OnStep = Callable[[int, int, str], None]


@dataclass(frozen=True)
class OfNight:
    """Which night (that of the newest plan, if not said); ``time_limit_s``: for all tries together; ``try_s``: for each
    of them."""

    night: dt.date | None = None
    time_limit_s: float = 60.0
    try_s: float = 4.0


def cure_night(
    command: OfNight = OfNight(),
    actor: Actor = BAKER,
    clock: Clock = now,
    on_step: OnStep | None = None,
    stop: Stopper | None = None,
) -> Cures:
    """The smallest changes that cure a night, each planned before it is told; none for a night that is on time.

    Raises NotFound without a kitchen, BadInput for a night without orders or one that runs, NotAllowed.
    """
    require(actor, "plan")
    checked_limit_s(command.time_limit_s)
    asked = night_given(command.night, actor, clock, PLAN_SHARE * command.time_limit_s, stop)

    from smallhours.planning.whatif.attempt import Thinking  # the solver is slow to import
    from smallhours.planning.whatif.cure import cure

    thinking = Thinking(min(command.try_s, command.time_limit_s / 4), stop=stop or Stopper())
    return cure(
        asked.given,
        made_at=clock(),
        thinking=thinking,
        plan=asked.plan,
        time_limit_s=command.time_limit_s,
        on_step=on_step,
    ).cures


def headroom_of_night(
    command: OfNight = OfNight(),
    actor: Actor = BAKER,
    clock: Clock = now,
    on_step: OnStep | None = None,
    stop: Stopper | None = None,
) -> Headroom:
    """What a night that is on time has left.

    Raises NotFound without a kitchen, BadInput for a night without orders or one that runs, Impossible for one that is
    late, NotAllowed.
    """
    require(actor, "plan")
    checked_limit_s(command.time_limit_s)
    asked = night_given(command.night, actor, clock, PLAN_SHARE * command.time_limit_s, stop)

    from smallhours.planning.whatif.attempt import Thinking  # the solver is slow to import
    from smallhours.planning.whatif.headroom import headroom

    thinking = Thinking(min(command.try_s, command.time_limit_s / 4), stop=stop or Stopper())
    return headroom(
        asked.given,
        made_at=clock(),
        thinking=thinking,
        plan=asked.plan,
        time_limit_s=command.time_limit_s,
        on_step=on_step,
    )
