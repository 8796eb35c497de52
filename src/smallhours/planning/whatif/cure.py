"""What would cure a late order, or a night in which nothing fits: the smallest changes, each planned before it
is told.
"""

from __future__ import annotations

import datetime as dt
import math
import time
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from smallhours.bakery.shift.variation import Variation
from smallhours.planning.plan import Plan
from smallhours.planning.whatif.attempt import Attempt, Thinking, as_planned, night_of, tried
from smallhours.planning.whatif.compare import OnStep
from smallhours.planning.whatif.document import Cure, Cures, Measures
from smallhours.planning.whatif.families import Family, families, handed_over_later
from smallhours.planning.whatif.given import Given
from smallhours.planning.whatif.hold_ups import hold_ups
from smallhours.planning.whatif.measures import measures, more
from smallhours.planning.whatif.say import costs_said, said
from smallhours.planning.whatif.search import Found, Trials, sound_late_s

SEARCH_SHARE = 0.7  # of the time, for looking; the rest makes good plans of what was found
MOST_CURES = 8
_TRIES_A_FAMILY, _DAY_S = 3, 24 * 3600.0
_MOST_STARTS = 3  # partial cures from which a second change is looked for
_TWO = 10.0  # what two changes ask more than each of them
LONGER = "Give the planner longer"


@dataclass(frozen=True)
class Answered:
    """The cures of a night, each with what was found for it."""

    cures: Cures
    found: tuple[Found, ...]


def cure(
    given: Given,
    *,
    made_at: dt.datetime,
    thinking: Thinking,
    plan: Plan | None = None,
    time_limit_s: float = 60.0,
    on_step: OnStep | None = None,
) -> Answered:
    """The cures of a night. ``plan``: the one it has; ``time_limit_s``: for all of it.

    Raises: BadInput for a night that cannot be planned at all.
    """
    began = time.monotonic()
    of = night_of(given)
    base = tried(of, replace(thinking, try_s=2 * thinking.try_s), hint=as_planned(of, plan))
    before = plan if plan is not None and plan.tasks else _good(base, thinking).plan(made_at)
    trials = Trials(given, base, thinking, began + SEARCH_SHARE * time_limit_s, on_step)
    base = trials.base = _less_late(trials)
    found = _longer(base, plan)
    if base.all_late_s:
        found += _single(trials, families(base, hold_ups(base, thinking)))
        if not any(each.all_on_time and not _waits(each) for each in found):
            found += _pairs(trials, found)
    found = _best(found)
    trials.until = began + time_limit_s
    made = [each if trials.over else trials.made_good(each) for each in found]
    told = tuple(_told(each, given, measures("", before), made_at) for each in made)
    return Answered(_cures(given, base, plan, told, trials), tuple(made))


def _good(base: Attempt, thinking: Thinking) -> Attempt:
    """A plan of the night as it is, good in everything, to count costs from."""
    return tried(base.of, thinking, "best", base.solution.placed) if base.fits else base


def _cures(given: Given, base: Attempt, plan: Plan | None, told: tuple[Cure, ...], trials: Trials) -> Cures:
    late = [n for n, late_s in base.late_s.items() if late_s]
    if plan is not None and plan.tasks and base.fits:
        late = [n for n, (order, _) in enumerate(zip(plan.orders, given.orders, strict=False)) if order.late_s] or late
    return Cures(
        night=given.night,
        timezone=given.kitchen.timezone,
        fits=base.fits,
        late=tuple(order_said(given, n) for n in late),
        late_s=sound_late_s(base),
        proven=base.proven,
        cures=told,
        tried=trials.tried,
        stopped=trials.out_of_time,
    )


def order_said(given: Given, number: int) -> str:
    """An order in a few words."""
    order = given.orders[number]
    name = given.formulas[order.product].name if order.product in given.formulas else order.product
    return f"{order.pieces} {name} for {order.customer} at {order.due:%H:%M}"


def _less_late(trials: Trials) -> Attempt:
    """The night as it is, less late if that is not yet shown to be impossible: from a plan in which one order may be
    handed over later, which is found more easily."""
    base = trials.base
    while not (base.proven or trials.over) and base.fits and base.all_late_s:
        plans = [trials.attempt(family.vary(family.most)) for family in handed_over_later(base, _DAY_S)[:1]]
        hints = [attempt.solution.placed for attempt in plans if attempt is not None and attempt.fits]
        again = tried(base.of, trials.thinking, hint=hints[0]) if hints else base
        if not again.fits or again.all_late_s >= base.all_late_s:
            break
        base = trials.base = again
        trials.forget()
    return base


def _longer(base: Attempt, plan: Plan | None) -> list[Found]:
    """What a longer search alone cures of a plan."""
    if plan is None or not plan.tasks or not base.fits or len(plan.orders) != len(base.of.places):
        return []
    was = {place: order.late_s for place, order in zip(base.of.places, plan.orders, strict=True)}
    worse = any(late_s > was[n] for n, late_s in base.late_s.items())
    cured = frozenset(n for n, late_s in base.late_s.items() if not late_s and was[n])
    return [Found(Variation(), base, cured, 0.0)] if cured and not worse else []


def _single(trials: Trials, changes: Sequence[Family], prefix: Variation | None = None) -> list[Found]:
    trials.expected = trials.tried + _TRIES_A_FAMILY * len(changes)
    found = []
    for family in changes:
        if trials.over:
            break
        cures = trials.smallest(family, prefix)
        if cures is not None:
            found.append(cures)
    return found


def _pairs(trials: Trials, partial: Sequence[Found]) -> list[Found]:
    """Two changes together: the second is looked for where the first cures some of what is late, or makes it less."""
    cures = sorted((each for each in partial if not _waits(each)), key=lambda each: each.attempt.all_late_s)
    for first in cures[:_MOST_STARTS]:
        if second := _seconds(trials, first.variation, first.attempt):
            return [replace(each, trouble=each.trouble + first.trouble + _TWO) for each in second]
    helpful = [(f, attempt) for f, attempt in trials.helpful() if f.kind not in ("later", "fewer")]
    for family, attempt in sorted(helpful, key=lambda pair: pair[1].all_late_s)[:_MOST_STARTS]:
        for other in _seconds(trials, family.vary(family.most), attempt):
            least = trials.smallest(family, other.own or Variation())
            if least is not None and least.all_on_time:
                return [replace(least, trouble=least.trouble + other.trouble + _TWO)]
    return []


def _seconds(trials: Trials, first: Variation, attempt: Attempt) -> list[Found]:
    """Changes that cure all the rest, the first being made."""
    changes = [f for f in families(attempt, hold_ups(attempt, trials.thinking)) if f.kind != "later"]
    return [each for each in _single(trials, changes, first) if each.all_on_time]


def _waits(found: Found) -> bool:
    """Whether it only cures as somebody waits longer for an order."""
    return any(wanted.new_due is not None for wanted in found.variation.orders)


def _best(found: Iterable[Found]) -> list[Found]:
    """The cures worth telling, the least trouble first: each orders' set once for each kind of change."""
    ranked = sorted(found, key=lambda each: (each.trouble, -len(each.cured)))
    whole = [each for each in ranked if each.all_on_time]
    part = [each for each in ranked if not each.all_on_time]
    return sorted([*whole, *part][:MOST_CURES], key=lambda each: (each.trouble, -len(each.cured)))


def _told(found: Found, given: Given, before: Measures, made_at: dt.datetime) -> Cure:
    after = measures("", found.attempt.plan(made_at))
    costs = more(after, before)
    what = said(found.variation, given) if found.variation != Variation() else LONGER
    late_s = found.attempt.all_late_s
    assert not math.isinf(late_s)
    result = "all on time" if found.all_on_time else _part(found, given)
    extra = costs_said(costs) if found.variation != Variation() else ""
    return Cure(
        sentence=f"{what}: {result}" + (f" ({extra})." if extra else "."),
        variation=found.variation,
        cured=tuple(order_said(given, n) for n in sorted(found.cured)),
        all_on_time=found.all_on_time,
        late_s=late_s,
        costs=costs,
        trouble=found.trouble,
    )


def _part(found: Found, given: Given) -> str:
    names = ", ".join(order_said(given, n) for n in sorted(found.cured)[:2])
    others = f" and {len(found.cured) - 2} more" if len(found.cured) > 2 else ""
    late = sum(late_s > 0 for late_s in found.attempt.late_s.values())
    return f"{names}{others} on time, {late} still late"
