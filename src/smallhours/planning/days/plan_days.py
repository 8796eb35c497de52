"""Several nights one after another, each fitted around what the others already take of the kitchen."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import partial
from typing import Any

from smallhours.bakery.formula.document import Formula
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.orders.document import Order
from smallhours.bakery.pantry import Pantry
from smallhours.errors import BadInput
from smallhours.planning.engine.progress import Progress, Stopper
from smallhours.planning.plan import Plan
from smallhours.planning.shift.plan_night import DEFAULT_POLISH_S, DEFAULT_TIME_LIMIT_S, plan_night

MOST_DAYS = 31
NightProgress = Callable[[dt.date, Progress], None]


def plan_days(
    formulas: Mapping[str, Formula],
    nights: Mapping[dt.date, Sequence[Order]],
    kitchen: Kitchen,
    pantry: Pantry,
    *,
    made_at: Callable[[], dt.datetime],
    not_before: dt.datetime | None = None,
    beside: Sequence[Plan] = (),
    first: Sequence[str] | None = None,
    time_limit_s: float = DEFAULT_TIME_LIMIT_S,
    polish_s: float | None = DEFAULT_POLISH_S,
    workers: int = 2,
    seed: int = 1,
    deterministic: bool = False,
    margin_s: float = 0.0,
    on_progress: NightProgress | None = None,
    stop: Stopper | None = None,
) -> Iterator[Plan]:
    """The plans of several nights, earliest first, each given as soon as it is found.

    ``nights``: the orders of each day on which a bake is sold; a closed day has none, and its plan is empty. A night
    leaves to the nights before it (and to the plans ``beside`` it, of other nights) whatever those take: places,
    trays, pans, ovens as they stand, people's hands and pauses. ``time_limit_s`` and ``polish_s``: for each night.
    ``not_before``: nothing of any of them begins before that. After ``stop``, the night being planned is the last one.

    Raises: what planning a night raises; BadInput for more than ``MOST_DAYS`` nights.
    """
    if len(nights) > MOST_DAYS:
        raise BadInput(f"{len(nights)} nights are too many to be planned at once: at most {MOST_DAYS}")
    made = [plan for plan in beside if plan.night not in nights]
    how: Any = {"workers": workers, "seed": seed, "deterministic": deterministic, "first": first}
    for night in sorted(nights):
        plan = plan_night(
            *(formulas, nights[night], kitchen, pantry, night),
            made_at=made_at(),
            not_before=not_before,
            beside=made,
            time_limit_s=time_limit_s,
            polish_s=polish_s,
            **how,
            margin_s=margin_s,
            on_progress=None if on_progress is None else partial(on_progress, night),
            stop=stop,
        )
        made.append(plan)
        yield plan
        if stop is not None and stop.stopped:
            return
