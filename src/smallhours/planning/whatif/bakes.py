"""Bakes at another set temperature, so that a deck need not change: how long they then take is the forecast's."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from smallhours.bakery.shift.variation import BakedAt, Variation
from smallhours.errors import SmallhoursError
from smallhours.planning.engine.explain import Reason
from smallhours.planning.shift.steps import Step
from smallhours.planning.whatif.attempt import AskedNight

MOST_OFF_K = 25.0
_MEMBERS = 60


def other_bakes(of: AskedNight, reasons: Sequence[Reason]) -> Iterator[Variation]:
    """For a bake that waits for a deck to change: itself at what the deck stood at, or what was in it at what this
    one wants, if that is within ``MOST_OFF_K`` of its own set temperature."""
    steps = {step.id: step for step in of.night.steps() if step.kind == "bake" and step.lot is not None}
    seen: set[tuple[str, float]] = set()
    for reason in reasons:
        late = steps.get(reason.waiting)
        if reason.kind != "state" or late is None:
            continue
        for before in (steps[name] for name in reason.blocked_by if name in steps):
            for step, other in ((late, before), (before, late)):
                baked = _baked_at(of, step, other.stage.set_temp_c)
                if baked is not None and (baked.product, baked.set_temp_c) not in seen:
                    seen.add((baked.product, baked.set_temp_c))
                    yield Variation(bakes=(baked,))


def _baked_at(of: AskedNight, step: Step, temp_c: float | None) -> BakedAt | None:
    own_c = step.stage.set_temp_c
    if own_c is None or temp_c is None or not step.stage.set_temp_give_k < abs(temp_c - own_c) <= MOST_OFF_K:
        return None
    assert step.lot is not None
    length_s = baked_s(of, step, temp_c)
    return None if length_s is None else BakedAt(product=step.lot.product, set_temp_c=temp_c, duration_s=length_s)


def baked_s(of: AskedNight, step: Step, temp_c: float) -> float | None:
    """How long a bake takes at another set temperature: its own length, moved as the forecast moves it, to the next
    whole minute; None where the forecast knows none (an oven that never brings the core there)."""
    from smallhours.forecast.conditions import Conditions  # takes a moment to load
    from smallhours.forecast.ensemble import draw
    from smallhours.forecast.questions import Asked

    assert step.lot is not None
    formula = of.asked.formulas[step.lot.product]
    asked = Asked(formula, of.given.pantry, Conditions(of.given.kitchen), draw(_MEMBERS))
    try:
        there = asked.forecast(oven_c=temp_c).stage(step.stage.key).length.median
        own = asked.forecast().stage(step.stage.key).length.median
    except SmallhoursError:
        return None
    return 60.0 * math.ceil(step.ways[0].window.preferred_s * there / own / 60.0 - 1e-9)
