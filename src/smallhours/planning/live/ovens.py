"""Decks at an instant of a planned night: how hot they stand, what rests in them, what keeps them shut."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from itertools import pairwise

from smallhours.bakery.kitchen.document import Oven
from smallhours.planning import plan as p
from smallhours.planning.engine.problem import Mode, Resource
from smallhours.planning.live.facts import Facts, place_of
from smallhours.planning.shift.ask import Question
from smallhours.planning.shift.equipment import DOOR, DeckOf, change_s


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


def without_doors(mode: Mode, facts: Facts) -> Mode:
    """What a running bake still asks of the door of its deck: nothing if others bake there too.

    What stands in one deck went in as it did; that it went into another's steam is past.
    """
    here = [name for name, fact in facts.known.items() if fact.end is None and place_of(fact.mode) == place_of(mode.id)]
    if len(here) < 2:
        return mode
    return replace(mode, demands=tuple(d for d in mode.demands if not d.resource.endswith(DOOR)))


def still_resting(deck: Resource, question: Question, facts: Facts, horizon: int) -> Resource:
    """The deck with less room where the places of loads that came out have not recovered yet.

    ``horizon``: of the rest of the night, whose tick 0 is the tick ``facts.now``, as the deck's calendar has it.
    """
    tasks = {task.id: task for task in question.problem.tasks}
    resting = []
    for name, fact in facts.known.items():
        if fact.end is None or name not in tasks or place_of(fact.mode) != deck.id:
            continue
        for demand in next((mode.demands for mode in tasks[name].modes if mode.id == fact.mode), ()):
            until = fact.end + demand.part.ticks - facts.now
            if demand.resource == deck.id and demand.part.kind == "and_after" and until > 0:
                resting.append((until, demand.amount))
    if not resting:
        return deck
    edges = sorted({0, horizon, *(t for t, _ in resting), *(t for a, b, _ in deck.calendar for t in (a, b))})
    pieces = []
    for a, b in pairwise(edge for edge in edges if edge <= horizon):
        there = next((c for x, y, c in deck.calendar if x <= a < y), deck.capacity)
        there = max(0, there - sum(amount for until, amount in resting if a < until))
        if there != deck.capacity:
            pieces.append((a, b, there))
    return replace(deck, calendar=tuple(pieces))
