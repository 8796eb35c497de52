"""Plans of one night with different margins before the due times, and what each brings and costs."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence

from smallhours.errors import BadInput
from smallhours.planning.odds.document import MarginOdds, NightOdds
from smallhours.planning.odds.night_odds import NIGHTS, USUAL, night_odds
from smallhours.planning.odds.spread import Spread
from smallhours.planning.plan import Plan

MARGINS_S = (0.0, 300.0, 600.0, 900.0)
MOST_MARGIN_S = 6 * 3600.0
WANTED = 0.9


def checked_margins_s(margins_s: Sequence[float]) -> tuple[float, ...]:
    """Margins in order, each once. Raises BadInput for none, a negative one, and more than six hours."""
    if not margins_s:
        raise BadInput("no margins are given to compare; give some, like 0,5,10,15 (minutes)")
    for margin_s in margins_s:
        if not 0 <= margin_s <= MOST_MARGIN_S:
            raise BadInput(
                f"a margin must be from 0 to {MOST_MARGIN_S / 60:g} minutes (found {margin_s / 60:g} minutes)"
            )
    return tuple(sorted(set(margins_s)))


def compare_margins(
    plan_of: Callable[[float], Plan],
    margins_s: Sequence[float] = MARGINS_S,
    *,
    nights: int = NIGHTS,
    seed: int = 1,
    spread: Spread = USUAL,
) -> tuple[MarginOdds, ...]:
    """The same night planned with each margin (s), and its odds in the same nights.

    ``plan_of`` plans the night with a margin. Raises BadInput.
    """
    return tuple(
        margin_odds(plan, night_odds(plan, nights=nights, seed=seed, spread=spread))
        for plan in map(plan_of, checked_margins_s(margins_s))
    )


def margin_odds(plan: Plan, odds: NightOdds) -> MarginOdds:
    """What a plan's margin brings and costs."""
    chances = [order.on_time for order in odds.orders]
    waits = [(order.due - order.ready).total_seconds() for order in plan.orders if order.ready is not None]
    worked = [(hands.person, hands.start, hands.end) for task in plan.tasks for hands in task.hands]
    return MarginOdds(
        margin_s=plan.margin_s,
        all_on_time=odds.all_on_time,
        order_on_time=sum(chances) / len(chances) if chances else 1.0,
        late_orders=sum(order.late_s > 0 or order.ready is None for order in plan.orders),
        hands_s=sum((end - start).total_seconds() for _, start, end in worked),
        present_s=sum(_present_s(worked, who) for who in {person for person, _, _ in worked}),
        waits_s=round(sum(max(0.0, wait) for wait in waits) / len(waits), 1) if waits else 0.0,
    )


def _present_s(worked: Sequence[tuple[str, dt.datetime, dt.datetime]], person: str) -> float:
    mine = [(start, end) for who, start, end in worked if who == person]
    return (max(end for _, end in mine) - min(start for start, _ in mine)).total_seconds()


def recommended(compared: Sequence[MarginOdds], wanted: float = WANTED) -> MarginOdds | None:
    """The smallest margin with which an order's mean chance to be on time reaches ``wanted``; None if none does."""
    return next((each for each in compared if each.order_on_time >= wanted), None)
