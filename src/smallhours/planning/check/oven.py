"""Ovens: a deck stands at one set temperature at a time and takes its own time to get to the next."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from smallhours.bakery.kitchen.document import Oven
from smallhours.planning.check.case import Case, minutes, seconds
from smallhours.planning.check.violation import Violation
from smallhours.planning.plan import OvenStretch, PlanResource, PlanTask

KIND = "oven"
_SLACK_S = 0.5


def changes(case: Case) -> Iterator[Violation]:
    """Between two set temperatures lies the time that the plan says the deck takes, and that its rates need."""
    for deck, stretches in case.stretches.items():
        resource = case.resources.get(deck)
        if resource is None:
            continue  # names says so
        free, before = case.plan.horizon_start, None
        for stretch in stretches:
            own = (deck, stretch.start) in case.own_stretches
            takes_s, why = _takes_s(case, resource, before.set_temp_c if before else None, stretch)
            if not own or (before is not None and (deck, before.start) not in case.own_stretches):
                why = ""  # what a deck takes from one night to another, neither has to say
                if before is not None and seconds(free, stretch.start) < takes_s - _SLACK_S:
                    yield Violation(KIND, deck, f"cannot be at {_temp(stretch)} by {case.clock(stretch.start)}")
                takes_s = min(takes_s, _takes_s(case, resource, None, stretch)[0]) if own else 0.0
            if why:
                yield Violation(KIND, deck, why)
            if stretch.start < free and before is not None:
                yield Violation(KIND, deck, f"stands at two set temperatures at {case.clock(stretch.start)}")
            elif stretch.heat_from < free and (own or before is not None):
                yield Violation(KIND, deck, f"is switched to {_temp(stretch)} while it is still needed as it stands")
            if seconds(stretch.heat_from, stretch.start) < takes_s - _SLACK_S:
                has = minutes(seconds(stretch.heat_from, stretch.start))
                what = f"has {has} to get to {_temp(stretch)} by {case.clock(stretch.start)}, it takes"
                yield Violation(KIND, deck, f"{what} {minutes(takes_s)}")
            free, before = max(free, stretch.end), stretch


def _takes_s(case: Case, resource: PlanResource, stood_c: float | None, stretch: OvenStretch) -> tuple[float, str]:
    """Seconds to get there: the more of what the plan says and what the oven's rates say; and what is missing."""
    if stood_c == stretch.set_temp_c:
        return 0.0, ""
    key = f"{'start' if stood_c is None else format(stood_c, 'g')}>{stretch.set_temp_c:g}"
    said_s = resource.change_s.get(key)
    why = "" if said_s is not None else f"does not say how long {key} takes"
    return max(said_s or 0.0, _needed_s(case, resource.id, stood_c, stretch)), why


def _needed_s(case: Case, deck: str, stood_c: float | None, stretch: OvenStretch) -> float:
    """Seconds that the oven's own rates need to get there."""
    if deck not in case.kitchen_decks or stood_c == stretch.set_temp_c:
        return 0.0
    oven, _ = case.kitchen_decks[deck]
    return change_s(oven, oven.start_temp_c if stood_c is None else stood_c, stretch.set_temp_c)


def change_s(oven: Oven, from_c: float, to_c: float) -> float:
    """Seconds from one set temperature to another, by the oven's own rates."""
    warmer_k = to_c - from_c
    return 60.0 * (warmer_k / oven.heat_k_per_min if warmer_k > 0 else -warmer_k / oven.cool_k_per_min)


def bakes(case: Case) -> Iterator[Violation]:
    """Whatever is in a deck is there while the deck stands at its set temperature, with the steam it wants."""
    for task in case.plan.tasks:
        used = [use.resource for use in task.uses if use.resource in case.decks]
        if task.kind == "bake" and used != [task.place]:
            yield Violation(KIND, task.id, f"is baked in {task.place} but uses {', '.join(used) or 'no deck'}")
        for deck in used:
            yield from _in_deck(case, task, deck)


def _in_deck(case: Case, task: PlanTask, deck: str) -> Iterator[Violation]:
    if not any(
        s.start <= task.start and task.end <= s.end and s.set_temp_c == task.set_temp_c
        for s in case.stretches.get(deck, ())
    ):
        wanted = "no set temperature" if task.set_temp_c is None else f"{task.set_temp_c:g} °C"
        yield Violation(KIND, task.id, f"wants {wanted}; {deck} does not stand at it all the time from start to end")
    if deck not in case.kitchen_decks:
        return
    oven, _ = case.kitchen_decks[deck]
    if task.steam and not oven.steam:
        yield Violation(KIND, task.id, f"wants steam, and {deck} has none")
    if task.set_temp_c is not None and task.set_temp_c > oven.max_temp_c:
        yield Violation(KIND, task.id, f"wants {task.set_temp_c:g} °C, {deck} reaches {oven.max_temp_c:g} °C")


def shut(case: Case) -> Iterator[Violation]:
    """While a load has its steam, its deck stays shut: nothing else goes in or out (what goes in with it may)."""
    for task in case.plan.tasks:
        if not task.shut_s:
            continue
        until = task.start + dt.timedelta(seconds=min(task.shut_s, seconds(task.start, task.end)))
        for other in case.plan.tasks:
            if other is task or other.place != task.place or other.kind != "bake":
                continue
            for moved, when in (("in", other.start), ("out", other.end)):
                if task.start < when < until:
                    what = f"goes {moved} at {case.clock(when)}, while {task.id} has its steam"
                    yield Violation(KIND, other.id, what)


def recovers(case: Case) -> Iterator[Violation]:
    """A place in a deck takes its next load once it has recovered from the last one and its reserve is over."""
    for deck, (oven, own) in case.kitchen_decks.items():
        rest = dt.timedelta(seconds=oven.recovery_s + oven.reserve_s)
        if not rest:
            continue
        uses = [(task, use) for task in case.plan.tasks for use in task.uses if use.resource == deck]
        for task, loaded in uses:
            if task.state == "done":
                continue
            here = [use for _, use in uses if use.start <= loaded.start < use.end + rest]
            if sum(use.amount for use in here) > own.tray_places:
                what = f"goes into {deck} {minutes(rest.total_seconds())} or less after its place was used"
                yield Violation(KIND, task.id, what)


def _temp(stretch: OvenStretch) -> str:
    return f"{stretch.set_temp_c:g} °C"
