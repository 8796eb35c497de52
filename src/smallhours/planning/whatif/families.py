"""Changes that might cure what is late, one family for each kind of change: the amounts from small to large."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from smallhours.bakery.kitchen.clock import instant
from smallhours.bakery.shift.variation import Helper, Shift, Things, Variation, Wanted
from smallhours.planning.engine.explain import Reason
from smallhours.planning.shift.allergens import WATCHED
from smallhours.planning.shift.equipment import BENCH, RACK
from smallhours.planning.shift.people import POOL
from smallhours.planning.whatif.attempt import AskedNight, Attempt
from smallhours.planning.whatif.bakes import other_bakes
from smallhours.planning.whatif.given import Given
from smallhours.planning.whatif.hold_ups import HoldUps

STEP_S = 300.0  # of hours and due times
MOST_SHIFT_S = 3600.0
MOST_LATER_S = 3 * 3600.0  # of handing over an order: later is another day's
MOST_PANS, MOST_PLACES, MOST_HELP_H = 12, 10, 12
_MOST_BLOCKERS, _MOST_LATE = 2, 4
# how much each kind of change asks: for the first step, and for each one more. Judgement, no measurement; it only says
# in which order changes are tried and told.
TROUBLE = {
    "pans": (10.0, 4.0),
    "hours": (12.0, 2.0),
    "bake": (15.0, 0.0),
    "way": (18.0, 0.0),
    "places": (20.0, 2.0),
    "stay": (25.0, 2.5),
    "later": (30.0, 2.0),
    "bench": (35.0, 0.0),
    "helper": (45.0, 4.0),
    "fewer": (50.0, 0.5),
    "machine": (90.0, 0.0),
}


@dataclass(frozen=True)
class Family:
    """Changes of one kind, by an amount from 1 to ``most``: more of it never makes the night harder."""

    kind: str
    most: int
    vary: Callable[[int], Variation]

    def trouble(self, amount: int) -> float:
        """How much a change asks."""
        first, each = TROUBLE[self.kind]
        return first + each * (amount - 1)


def families(attempt: Attempt, held: HoldUps) -> list[Family]:
    """Changes worth trying for what is late in an attempt: first those that are planned in no time, then what is
    waited for, the least trouble first, then the rest."""
    names = held.resources
    wanted = [family for name in names for family in _more_of(name, attempt.of)]
    wanted += [Family("bake", 1, _always(bake)) for bake in other_bakes(attempt.of, held.reasons)]
    wanted += list(_fewer(attempt, held))
    if not attempt.proven and attempt.fits:
        wanted += list(_ways(attempt, held.reasons))
    people = [*_hours(attempt.of), *_helper(attempt.of)]
    rest = [] if POOL in names else people
    wanted += people if POOL in names else []
    ranked = (sorted(group, key=lambda family: family.trouble(1)) for group in (wanted, rest))
    return [*handed_over_later(attempt), *(family for group in ranked for family in group)]


def _always(variation: Variation) -> Callable[[int], Variation]:
    return lambda _: variation


def _things(name: str) -> Callable[[int], Variation]:
    return lambda amount: Variation(things=(Things(equipment=name, by=amount),))


def _more_of(resource: str, of: AskedNight) -> Iterator[Family]:
    """More of what is waited for."""
    kitchen = of.given.kitchen
    name = resource.removesuffix(WATCHED)
    if any(pan.id == name for pan in kitchen.pans):
        yield Family("pans", MOST_PANS, _things(name))
    elif name in {cold.id for cold in kitchen.cold} | {proofer.id for proofer in kitchen.proofers}:
        yield Family("places", MOST_PLACES, _things(name))
    elif name == RACK and kitchen.racks:
        yield Family("bench", 1, _things(kitchen.racks[0].id))
    elif name == BENCH and kitchen.benches:
        yield Family("bench", 1, _things(kitchen.benches[0].id))
    elif any(bench.id == name for bench in kitchen.benches):
        yield Family("bench", 1, _things(name))
    elif name != POOL:
        yield Family("machine", 1, _things(name))


def _hours(of: AskedNight) -> Iterator[Family]:
    """Somebody comes earlier or stays longer."""
    most = int(MOST_SHIFT_S // STEP_S)
    for presence in of.question.present:
        if presence.stretches:
            yield Family("hours", most, _earlier(presence.person.id))
            yield Family("stay", most, _longer(presence.person.id))


def _earlier(person: str) -> Callable[[int], Variation]:
    return lambda steps: Variation(hours=(Shift(person=person, begins_earlier_s=steps * STEP_S),))


def _longer(person: str) -> Callable[[int], Variation]:
    return lambda steps: Variation(hours=(Shift(person=person, ends_later_s=steps * STEP_S),))


def _helper(of: AskedNight) -> Iterator[Family]:
    """One more pair of hands, so many hours up to the last due time (or to when the last goes, if that is before)."""
    stretches = [stretch for presence in of.question.present for stretch in presence.stretches]
    clock, zone = of.night.clock, of.given.kitchen.zone()
    last = clock.inside(clock.tick(max(lot.due for batch in of.made.batches for lot in batch.lots)))
    ends = [min(b, last) for a, b in stretches if a < last]
    most = min(MOST_HELP_H, math.ceil(max(ends, default=0) / clock.length(3600.0)))
    if not most:
        return

    def vary(hours: int) -> Variation:
        ticks = (clock.inside(max(ends) - clock.length(hours * 3600.0)), max(ends))
        start, stop = (clock.instant(t).astimezone(zone).time().replace(tzinfo=None) for t in ticks)
        return Variation(helpers=(Helper(start=start, end=stop),))

    yield Family("helper", most, vary)


def _fewer(attempt: Attempt, held: HoldUps) -> Iterator[Family]:
    """Fewer pieces of what is late, or of what it waits behind."""
    lots = {step.id: step.lot for step in attempt.of.night.steps() if step.lot is not None}
    behind = {lots[name].product for reason in held.reasons for name in reason.blocked_by if name in lots}
    orders = attempt.of.given.orders
    blockers = [n for n, late_s in attempt.late_s.items() if not late_s and orders[n].product in behind]
    largest = sorted(blockers, key=lambda n: -orders[n].pieces)[:_MOST_BLOCKERS]
    for number in [*held.orders[:_MOST_LATE], *largest]:
        if orders[number].pieces > 1:
            yield Family("fewer", orders[number].pieces - 1, _drop(attempt.of.given, number))


def _drop(given: Given, number: int) -> Callable[[int], Variation]:
    order = given.orders[number]

    def vary(amount: int) -> Variation:
        return Variation(orders=(Wanted(product=order.product, customer=order.customer, due=order.due, fewer=amount),))

    return vary


def handed_over_later(attempt: Attempt, most_s: float = MOST_LATER_S) -> list[Family]:
    """Each order that is late by no more than ``most_s`` handed over later, by as much as it is late at most; and all
    of them."""
    return list(_later(attempt, most_s))


def _later(attempt: Attempt, most_s: float) -> Iterator[Family]:
    late = {number: late_s for number, late_s in attempt.late_s.items() if late_s}
    if max(late.values(), default=math.inf) > most_s:
        return
    for number, late_s in late.items() if len(late) <= _MOST_LATE else ():
        most = math.ceil(late_s / STEP_S - 1e-9)
        if _due_later(attempt.of.given, number, most) is not None:
            yield Family("later", most, _hand_over(attempt.of.given, number))
    every = [_due_later(attempt.of.given, n, math.ceil(late_s / STEP_S - 1e-9)) for n, late_s in late.items()]
    if len(every) > 1 and None not in every:
        yield Family("later", 1, _always(Variation(orders=tuple(w for w in every if w is not None))))


def _due_later(given: Given, number: int, steps: int) -> Wanted | None:
    """An order due some steps later on the same day; None where that day is over by then."""
    order, zone = given.orders[number], given.kitchen.zone()
    at = instant(order.date, order.due, zone) + dt.timedelta(seconds=steps * STEP_S)
    there = at.astimezone(zone)
    if there.date() != order.date:
        return None
    new_due = there.time().replace(tzinfo=None)
    return Wanted(product=order.product, customer=order.customer, due=order.due, new_due=new_due)


def _hand_over(given: Given, number: int) -> Callable[[int], Variation]:
    def vary(steps: int) -> Variation:
        wanted = _due_later(given, number, steps)
        assert wanted is not None
        return Variation(orders=(wanted,))

    return vary


def _ways(attempt: Attempt, reasons: Sequence[Reason]) -> Iterator[Family]:
    """Another way that the formula allows, where the planner has not shown that it looked at all of them."""
    from smallhours.bakery.shift.variation import OneWay

    steps = {step.id: step for step in attempt.of.night.steps()}
    about = [name for reason in reasons for name in (reason.task, reason.waiting, *reason.blocked_by) if name in steps]
    lots = {steps[name].about for name in about if steps[name].lot is not None}
    seen: set[tuple[str, str, str]] = set()
    for step in steps.values():
        if step.lot is None or step.about not in lots:
            continue
        taken = next(way.way for way in step.ways if way.mode == attempt.solution.placed[step.id].mode)
        for way in step.stage.instead:
            key = (step.lot.product, step.stage.key, way.place)
            if way.place != taken and key not in seen:
                seen.add(key)
                one = OneWay(product=key[0], stage=key[1], place=key[2])
                yield Family("way", 1, _always(Variation(ways=(one,))))
