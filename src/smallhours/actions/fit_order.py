"""Whether an extra order fits into a night, before it is accepted; writes nothing."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass

from smallhours.actions.clock import Clock, now
from smallhours.actions.night_given import checked_limit_s
from smallhours.actions.night_papers import papers_of
from smallhours.actions.permissions import BAKER, Actor, require
from smallhours.actions.shelf import shelf
from smallhours.actions.stored_plan import stored_plan
from smallhours.bakery.orders.document import MOST_PIECES
from smallhours.errors import BadInput
from smallhours.planning.engine.progress import Stopper
from smallhours.planning.whatif.document import Fit
from smallhours.planning.whatif.given import given_of
from smallhours.records import queries

OnStep = Callable[[int, int, str], None]


@dataclass(frozen=True)
class FitOrder:
    """So many pieces of a product, due at a time on the morning of ``night`` (of the newest plan, if not said), asked
    for at ``at`` (this moment, if not said). ``try_s``: seconds for each plan that is tried."""

    product: str
    pieces: int
    due: dt.time
    night: dt.date | None = None
    at: dt.datetime | None = None
    time_limit_s: float = 60.0
    try_s: float = 4.0


def fit_order(
    command: FitOrder,
    actor: Actor = BAKER,
    clock: Clock = now,
    on_step: OnStep | None = None,
    stop: Stopper | None = None,
) -> Fit:
    """Whether it fits with everything else on time, what it costs, and until when it can still be taken.

    Raises NotFound without a plan of that night or for an unknown product, BadInput for an order that is due before now
    or a plan made from other formulas, NotAllowed.
    """
    require(actor, "plan")
    checked_limit_s(command.time_limit_s)
    if not 0 < command.pieces < MOST_PIECES:
        raise BadInput(f"an order must be for 1 to {MOST_PIECES - 1} pieces (found {command.pieces})")
    held, started = shelf(), clock()
    held.formula(command.product)
    stored = stored_plan(queries.kept_plan(command.night))
    given = given_of(stored.plan, held.formulas, papers_of(stored).kitchen, held.pantry())

    from smallhours.planning.whatif.attempt import Thinking  # the solver is slow to import
    from smallhours.planning.whatif.fits import Asking, fit

    asking = Asking(command.product, command.pieces, command.due, command.at or started)
    thinking = Thinking(min(command.try_s, command.time_limit_s / 4), stop=stop or Stopper())
    return fit(
        given,
        stored.plan,
        asking,
        made_at=started,
        thinking=thinking,
        time_limit_s=command.time_limit_s,
        on_step=on_step,
    )
