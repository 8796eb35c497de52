"""The same night otherwise, side by side with the night as it is; writes nothing."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass

from smallhours.actions.clock import Clock, now
from smallhours.actions.night_given import checked_limit_s, night_given
from smallhours.actions.permissions import BAKER, Actor, require
from smallhours.bakery.shift.variation import Variation
from smallhours.errors import BadInput
from smallhours.planning.engine.progress import Stopper
from smallhours.planning.whatif.document import Measures

OnStep = Callable[[int, int, str], None]
MOST_VARIATIONS = 20


@dataclass(frozen=True)
class WhatIf:
    """``variations`` of a night (that of the newest plan, if not said), each planned within ``time_limit_s``."""

    variations: tuple[Variation, ...]
    night: dt.date | None = None
    time_limit_s: float = 10.0


@dataclass(frozen=True)
class SideBySide:
    """A night and its variations; the first of ``nights`` is the night as it is."""

    night: dt.date
    timezone: str
    nights: tuple[Measures, ...]


def what_if(
    command: WhatIf,
    actor: Actor = BAKER,
    clock: Clock = now,
    on_step: OnStep | None = None,
    stop: Stopper | None = None,
) -> SideBySide:
    """What each variation comes to. Raises NotFound without a kitchen, BadInput for what is not there, NotAllowed."""
    require(actor, "plan")
    checked_limit_s(command.time_limit_s)
    if not 1 <= len(command.variations) <= MOST_VARIATIONS:
        raise BadInput(
            f"say what would be otherwise: from 1 to {MOST_VARIATIONS} variations of a night are compared "
            f"(found {len(command.variations)})"
        )
    asked = night_given(command.night, actor, clock, command.time_limit_s, stop)

    from smallhours.planning.whatif.attempt import Thinking  # the solver is slow to import
    from smallhours.planning.whatif.compare import compare

    thinking = Thinking(command.time_limit_s / 2, command.time_limit_s / 2, stop=stop or Stopper())
    nights = compare(
        asked.given, command.variations, made_at=clock(), thinking=thinking, plan=asked.plan, on_step=on_step
    )
    return SideBySide(asked.given.night, asked.given.kitchen.timezone, nights)
