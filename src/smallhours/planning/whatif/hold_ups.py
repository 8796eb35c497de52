"""What holds a night up: what late orders wait for, or what a night in which nothing fits has too little of."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from smallhours.planning.engine.explain import Reason, lateness_reasons
from smallhours.planning.engine.parts import covered
from smallhours.planning.engine.problem import Due
from smallhours.planning.shift.loosen import Overrun, loosened, overruns
from smallhours.planning.whatif.attempt import ON_TIME_ONLY, Attempt, Thinking

_MOST_ORDERS, _MOST_GUESSED = 4, 3


@dataclass(frozen=True)
class HoldUps:
    """``reasons``: what is waited for; ``orders``: places of the orders that it is about, the latest first;
    ``resources``: the engine's names of what there is too little of."""

    reasons: tuple[Reason, ...]
    orders: tuple[int, ...]
    resources: tuple[str, ...]


def _named(reasons: Sequence[Reason]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(reason.resource for reason in reasons if reason.resource is not None))


def hold_ups(attempt: Attempt, thinking: Thinking) -> HoldUps:
    """What holds up an attempt. Where nothing fits, what stands too long when all is loosened says it."""
    if attempt.fits:
        late = sorted((n for n, late_s in attempt.late_s.items() if late_s), key=lambda n: -attempt.late_s[n])
        reasons = tuple(lateness_reasons(attempt.of.question.problem, attempt.solution))
        return HoldUps(reasons, tuple(late), _named(reasons))
    return _where_nothing_fits(attempt, thinking)


def _where_nothing_fits(attempt: Attempt, thinking: Thinking) -> HoldUps:
    from smallhours.planning.engine.solve import solve  # takes a moment to load

    of = attempt.of
    asking = loosened(of.question, of.night)
    levels = (("mode",), *ON_TIME_ONLY.levels)
    problem = replace(asking.problem, objective=replace(asking.problem.objective, levels=levels))
    solution = solve(
        problem, time_limit_s=2 * thinking.try_s, workers=thinking.workers, seed=thinking.seed,
        deterministic=thinking.deterministic, stop=thinking.stop,
    )  # fmt: skip
    if not solution.placed:
        return HoldUps((), _largest(attempt, set()), _fullest(attempt))
    found = overruns(of.night, of.question.links, solution, of.night.clock)
    dues = {due.task: due for due in _limits(found, solution.placed, of.night.clock.tick_s)}
    late = lateness_reasons(replace(problem, dues=tuple(dues.values())), solution)
    products = {over.step.lot.product for over in found if over.step.lot is not None}
    products |= {lot.product for over in found for lot in over.step.batch.lots if over.step.lot is None}
    return HoldUps(tuple(late), _largest(attempt, products), _named(late) or _fullest(attempt))


def _fullest(attempt: Attempt) -> tuple[str, ...]:
    """What is wanted for longest, for how much there is of it: the first guess at what is too little."""
    problem = attempt.of.question.problem
    wanted = dict.fromkeys((resource.id for resource in problem.resources), 0.0)
    for task in problem.tasks:
        for demand in task.modes[0].demands:
            start, end = covered(demand.part, 0, task.modes[0].lo)
            wanted[demand.resource] += demand.amount * (end - start)
    share = {resource.id: wanted[resource.id] / resource.capacity for resource in problem.resources}
    return tuple(sorted(share, key=lambda name: -share[name])[:_MOST_GUESSED])


def _limits(found: Sequence[Overrun], placed: object, tick_s: int) -> Iterator[Due]:
    """What stands too long as work that ends too late."""
    assert isinstance(placed, dict)
    for over in found:
        step = over.step if over.after is None else over.after
        ticks = int((over.taken_s - over.longest_s) // tick_s)
        if ticks > 0:
            yield Due(step.id, max(0, placed[step.id].end - ticks))


def _largest(attempt: Attempt, products: set[str]) -> tuple[int, ...]:
    """The largest orders of these products (of all, if there are none)."""
    orders = attempt.of.given.orders
    about = [n for n in attempt.late_s if not products or orders[n].product in products]
    return tuple(sorted(about, key=lambda n: -orders[n].pieces)[:_MOST_ORDERS])
