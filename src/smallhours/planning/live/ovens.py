"""How hot each deck stands at an instant of a planned night."""

from __future__ import annotations

import datetime as dt
from itertools import pairwise

from smallhours.bakery.kitchen.document import Oven
from smallhours.planning import plan as p
from smallhours.planning.shift.equipment import DeckOf, change_s


def deck_temp_c(plan: p.Plan, deck: DeckOf, at: dt.datetime) -> float:
    """The temperature of a deck (°C) at an instant, if the plan was followed: at a set temperature, on its way to the
    next one, or cooling since its last.

    Source: the oven's own rates of heating and cooling, straight lines.
    """
    oven = deck.oven
    stretches = sorted((s for s in plan.ovens if s.deck == deck.id), key=lambda s: s.start)
    if not stretches or at < stretches[0].heat_from:
        return oven.start_temp_c
    if at < stretches[0].start:
        return _on_the_way(oven, oven.start_temp_c, stretches[0], at)
    for stretch, following in pairwise(stretches):
        if stretch.start <= at < following.heat_from:
            return stretch.set_temp_c
        if following.heat_from <= at < following.start:
            return _on_the_way(oven, stretch.set_temp_c, following, at)
    last = stretches[-1]
    return last.set_temp_c if at <= last.end else cooled_c(oven, last.set_temp_c, (at - last.end).total_seconds())


def _on_the_way(oven: Oven, from_c: float, to: p.OvenStretch, at: dt.datetime) -> float:
    rate = oven.heat_k_per_min if to.set_temp_c > from_c else -oven.cool_k_per_min
    moved = from_c + rate * (at - to.heat_from).total_seconds() / 60.0
    return min(moved, to.set_temp_c) if rate > 0 else max(moved, to.set_temp_c)


def cooled_c(oven: Oven, from_c: float, off_s: float) -> float:
    """A deck that has been off for so long."""
    return max(min(from_c, oven.start_temp_c), from_c - oven.cool_k_per_min * off_s / 60.0)


def ready_s(oven: Oven, from_c: float, off_s: float, to_c: float) -> float:
    """Seconds until a deck can stand at a set temperature, if it cannot be switched on for ``off_s``."""
    return off_s + change_s(oven, cooled_c(oven, from_c, off_s), to_c)
