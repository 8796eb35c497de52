"""What a night that is on time has left: how much earlier, how much more, and what one thing more would bring."""

from __future__ import annotations

import datetime as dt
import math
import time
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace

from smallhours.bakery.kitchen.clock import instant
from smallhours.bakery.shift.variation import Helper, Shift, Things, Variation, Wanted, both
from smallhours.errors import Impossible
from smallhours.planning.engine.explain import lateness_reasons, loads
from smallhours.planning.plan import Plan
from smallhours.planning.shift.allergens import WATCHED
from smallhours.planning.shift.people import POOL
from smallhours.planning.whatif.attempt import Attempt, Thinking, as_planned, night_of, tried
from smallhours.planning.whatif.compare import OnStep
from smallhours.planning.whatif.document import Brings, Headroom, Load, More
from smallhours.planning.whatif.given import Given
from smallhours.planning.whatif.say import named, said
from smallhours.planning.whatif.search import Trials

MARGIN_STEP_S, MOST_MARGIN_STEPS = 300.0, 36
GROWTH_STEP, MOST_GROWTH_STEPS = 0.05, 20
MOST_TIMES, MOST_PIECES_MORE = 4, 2000
MARGIN_SHARE, MORE_SHARE = 0.2, 0.45  # of the time; the rest is for what one thing more would bring
_BUSIEST_S = 3600.0
_MOST_LOADS = 8


def headroom(
    given: Given,
    *,
    made_at: dt.datetime,
    thinking: Thinking,
    plan: Plan | None = None,
    time_limit_s: float = 60.0,
    on_step: OnStep | None = None,
) -> Headroom:
    """What a night has left. ``plan``: the one it has; ``time_limit_s``: for all of it.

    Raises: BadInput for a night that cannot be planned at all; Impossible for one in which something is late.
    """
    began = time.monotonic()
    of = night_of(given)
    base = tried(of, replace(thinking, try_s=2 * thinking.try_s), hint=as_planned(of, plan))
    if base.all_late_s:
        raise Impossible(
            f"the night to {given.night} is not on time as it is, so nothing is left in it: ask what would cure it "
            "(smallhours cure)"
        )
    good = tried(of, thinking, "best", as_planned(of, plan) or base.solution.placed)
    asking = _Asking(Trials(given, base, thinking, began + MARGIN_SHARE * time_limit_s, on_step))
    steps, too_many, holds_up = asking.margin()
    asking.trials.until = began + (MARGIN_SHARE + MORE_SHARE) * time_limit_s
    more = tuple(asking.products())
    asking.trials.until = began + time_limit_s
    grows = tuple(asking.growth())
    return Headroom(
        night=given.night,
        timezone=given.kitchen.timezone,
        earlier_s=steps * MARGIN_STEP_S,
        not_earlier_s=None if too_many is None else too_many * MARGIN_STEP_S,
        holds_up=holds_up,
        loads=tuple(busiest(good)),
        more=more,
        grows=grows,
        stopped=asking.stopped,
    )


class _Asking:
    """The questions of one night, each answered by halving over tries."""

    def __init__(self, trials: Trials) -> None:
        self.trials, self.given = trials, trials.given
        self.stopped = False

    def most(self, fits: Callable[[int], bool], low: int, high: int) -> tuple[int, int | None]:
        """The largest amount found to fit (``low`` does), and the smallest that was tried and does not."""
        enough, too_much, at = low, None, low + 1
        while at <= high and not self.over():
            if not fits(at):
                too_much = None if self.over() else at
                break
            enough, at = at, min(2 * at - low, high) if at < high else high + 1
        while too_much is not None and too_much - enough > 1 and not self.over():
            middle = (enough + too_much) // 2
            if fits(middle):
                enough = middle
            elif not self.over():
                too_much = middle
        return enough, too_much

    def over(self) -> bool:
        """Whether the time of this question is over."""
        if self.trials.thinking.stop.stopped or time.monotonic() >= self.trials.until:
            self.stopped = True
            return True
        return False

    def margin(self) -> tuple[int, int | None, tuple[str, ...]]:
        """How many steps earlier everything could be ready, how many not, and what holds it up."""
        base, failed = self.trials.base, dict[int, Attempt]()

        def fits(steps: int) -> bool:
            self.tell(f"everything {steps * MARGIN_STEP_S / 60:.0f} min earlier")
            attempt = tried(base.of, self.trials.thinking, hint=base.solution.placed, margin_s=steps * MARGIN_STEP_S)
            if attempt.on_time_by(steps * MARGIN_STEP_S):
                return True
            failed[steps] = attempt
            return False

        steps, too_many = self.most(fits, 0, MOST_MARGIN_STEPS)
        return steps, too_many, () if too_many is None else _holds_up(failed[too_many])

    def tell(self, words: str) -> None:
        """Say what is tried."""
        self.trials.tried += 1
        if self.trials.on_step is not None:
            self.trials.on_step(self.trials.tried, max(self.trials.expected, self.trials.tried), words)

    def products(self) -> Iterator[More]:
        """How much more of each product could be ready with its largest order."""
        largest: dict[str, int] = {}
        for number, order in enumerate(self.given.orders):
            if order.pieces > (self.given.orders[largest[order.product]].pieces if order.product in largest else 0):
                largest[order.product] = number
        whole, ends = self.trials.base.of.asked.formulas, self.trials.until
        for left, (product, number) in zip(range(len(largest), 0, -1), sorted(largest.items()), strict=True):
            now = time.monotonic()
            self.trials.until = now + (ends - now) / left
            yield self._more(product, number, max(1, whole[product].pieces_per_pan))
        self.trials.until = ends

    def _more(self, product: str, number: int, step: int) -> More:
        order = self.given.orders[number]
        failed: dict[int, bool] = {}

        def fits(amount: int) -> bool:
            wanted = Wanted(product=product, customer=order.customer, due=order.due, more=amount * step)
            self.trials.out_of_time = False
            attempt = self.trials.attempt(Variation(orders=(wanted,)))
            failed[amount] = attempt is None or attempt.proven
            return attempt is not None and attempt.all_late_s == 0

        cap = math.ceil(min(MOST_PIECES_MORE, MOST_TIMES * order.pieces) / step)
        enough, too_many = self.most(fits, 0, cap)
        at = instant(order.date, order.due, self.given.kitchen.zone())
        return More(
            product=product,
            due=at,
            pieces=enough * step,
            too_many=None if too_many is None else too_many * step,
            proven=too_many is not None and failed[too_many],
        )

    def growth(self) -> Iterator[Brings]:
        """By how much all orders could grow, as it is and with one thing more."""
        least, full = 0, False
        for variation in (Variation(), *self._things()):
            if self.over():
                return
            steps, too_many = self.most(lambda n, v=variation: self._grows(v, n), least, MOST_GROWTH_STEPS)  # type: ignore[misc]
            if variation == Variation():
                least = steps
                full = too_many is None and steps == MOST_GROWTH_STEPS
            yield Brings(
                sentence=said(variation, self.given) if variation != Variation() else "As it is",
                variation=variation,
                grows_percent=round(100 * GROWTH_STEP * steps, 1),
                not_percent=None if too_many is None else round(100 * GROWTH_STEP * too_many, 1),
            )
            if full:
                return  # it could grow as much as is asked for, so that one thing more would bring nothing

    def _grows(self, variation: Variation, steps: int) -> bool:
        grown = Variation(orders=(Wanted(times=1.0 + GROWTH_STEP * steps),))
        self.trials.out_of_time = False
        attempt = self.trials.attempt(both(variation, grown))
        return attempt is not None and attempt.all_late_s == 0

    def _things(self) -> Iterator[Variation]:
        """One thing more of everything that a kitchen might get: a deck, a fridge place, a mixer, an hour, hands."""
        kitchen, of = self.given.kitchen, self.trials.base.of
        used = {resource.id for resource in of.question.problem.resources}
        decks = [f"{oven.id}.{oven.decks[0].id}" for oven in kitchen.ovens]
        cold = [name for name in (*(c.id for c in kitchen.cold), *(q.id for q in kitchen.proofers)) if name in used]
        for name in [deck for deck in decks if deck in used] + cold + [m.id for m in kitchen.mixers if m.id in used]:
            yield Variation(things=(Things(equipment=name, by=1),))
        for presence in of.question.present:
            if presence.stretches:
                yield Variation(hours=(Shift(person=presence.person.id, begins_earlier_s=3600.0),))
        yield from _hands(self.trials.base)


def _hands(base: Attempt) -> Iterator[Variation]:
    """One more pair of hands in the hour in which hands are busiest."""
    hour = next((load for load in busiest(base) if load.resource == POOL), None)
    if hour is not None:
        zone = base.of.given.kitchen.zone()
        start, end = (t.astimezone(zone).time().replace(tzinfo=None) for t in (hour.start, hour.end))
        yield Variation(helpers=(Helper(start=start, end=end),))


def _holds_up(attempt: Attempt) -> tuple[str, ...]:
    """What everything waits for that is not as early as was asked, the most common first."""
    clock, problem = attempt.of.night.clock, attempt.of.question.problem
    dues = tuple(replace(due, at=max(0, due.at - attempt.margin)) for due in problem.dues)
    counted: Counter[str] = Counter()
    for reason in lateness_reasons(replace(problem, dues=dues), attempt.solution):
        if reason.resource is not None:
            counted[called(attempt, reason.resource)] += reason.late_by * clock.tick_s
        elif reason.kind == "window":
            counted["the time itself, from the earliest start"] += reason.late_by * clock.tick_s
    return tuple(name for name, _ in counted.most_common(4))


def called(attempt: Attempt, resource: str) -> str:
    """What people call a resource of the engine."""
    kitchen = attempt.of.given.kitchen
    own = resource.removesuffix(WATCHED)
    known = {
        POOL: "free hands",
        "bench": ", ".join(bench.name for bench in kitchen.benches),
        "rack": ", ".join(rack.name for rack in kitchen.racks),
    }
    return known.get(own) or named(kitchen, own)


def busiest(attempt: Attempt) -> Iterator[Load]:
    """How full each thing is in its busiest hour, the fullest first."""
    of, clock = attempt.of, attempt.of.night.clock
    found: dict[str, Load] = {}
    for load in loads(of.question.problem, attempt.solution.placed, clock.length(_BUSIEST_S)):
        if load.resource.endswith(WATCHED) or not load.available or not load.used:
            continue
        share = load.used / load.available
        if load.resource not in found or share > found[load.resource].used_fraction:
            found[load.resource] = Load(
                resource=load.resource,
                name=called(attempt, load.resource),
                start=clock.instant(load.start),
                end=clock.instant(load.end),
                used_fraction=round(share, 3),
            )
    yield from sorted(found.values(), key=lambda load: -load.used_fraction)[:_MOST_LOADS]
