"""When nothing fits inside every window: the same question with upper limits that may be overrun, each at a price.

A baker whose tins are all full does not stand still: she keeps the dough back and knows that it is a compromise. So
every rest may last longer and everything may wait longer; first as few of these overruns as possible, then lateness.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from smallhours.bakery.process import habits
from smallhours.planning.engine.problem import Demand, Lag, Mode, Part, Solution, Task
from smallhours.planning.shift.ask import Question
from smallhours.planning.shift.clock import Clock
from smallhours.planning.shift.equipment import BENCH
from smallhours.planning.shift.people import POOL
from smallhours.planning.shift.rules import Night, RuledLag
from smallhours.planning.shift.steps import Step, StepWay

HELD = ":held"
_PANS_WAIT = "pans_wait_with_their_lot"
_FIRM = ("pans_cool_before_they_are_used_again", _PANS_WAIT)


@dataclass(frozen=True)
class Overrun:
    """A step (or the wait from one step to the next, ``after``) that lasts longer than it may."""

    step: Step
    after: Step | None
    longest_s: float
    taken_s: float

    def sentence(self) -> str:
        """What stands how much too long."""
        what = f"{self.step.about}: {self.step.stage.name or self.step.stage.key}"
        minutes = (
            f"{(self.taken_s - self.longest_s) / 60:.0f} min longer than the {self.longest_s / 60:.0f} min allowed"
        )
        if self.after is None:
            return f"{what} lasts {minutes}, because nothing fits otherwise"
        into = f"{self.after.about}: {self.after.stage.name or self.after.stage.key}"
        return f"{into} waits after {what} {minutes}, because nothing fits otherwise"


def loosened(question: Question, night: Night) -> Question:
    """The question in which every rest and every wait may be overrun; ``links`` stay what they were."""
    problem = question.problem
    steps = {step.id: step for step in night.steps()}
    resting = {step.id for step in steps.values() if _rests(step)}
    waiting = {link.lag.after for link in question.links if link.rule == _PANS_WAIT} - steps.keys()
    tasks = [
        _resting(task, problem.horizon) if task.id in resting
        else _as_long_as_it_takes(task, problem.horizon) if task.id in waiting
        else _free_of_cost(task)
        for task in problem.tasks
    ]  # fmt: skip
    held = {link.lag.before for link in question.links if link.rule == _PANS_WAIT}
    lags: list[Lag] = []
    for number, link in enumerate(question.links):
        if link.lag.hi is None or link.rule in _FIRM:
            lags.append(link.lag)
            continue
        follows_on = link.rule == "stages_follow_on" and link.lag.before in steps and link.lag.before not in held
        stands = _stands(steps[link.lag.before], steps[link.lag.after]) if follows_on else ()
        wait = _wait(link.lag, number, problem.horizon, stands)
        tasks.append(wait)
        lags += _around(link.lag, wait)
    levels = (("mode",), *(tuple(term for term in level if term != "mode") for level in problem.objective.levels))
    objective = replace(problem.objective, levels=levels)
    return replace(question, problem=replace(problem, tasks=tuple(tasks), lags=tuple(lags), objective=objective))


def is_loosened(question: Question) -> bool:
    """Whether a question is one of these."""
    return any(mode.id.endswith(HELD) for task in question.problem.tasks for mode in task.modes)


def _rests(step: Step) -> bool:
    return step.kind not in ("mix", "bake") and habits.attention_of(step.stage) != "throughout"


def _free_of_cost(task: Task) -> Task:
    return replace(task, modes=tuple(replace(mode, cost=0) for mode in task.modes))


def _as_long_as_it_takes(task: Task, horizon: int) -> Task:
    """Pans that wait with their lot: it is the lot's wait that is weighed."""
    return replace(task, modes=tuple(replace(mode, hi=horizon, cost=0) for mode in task.modes))


def _resting(task: Task, horizon: int) -> Task:
    free = _free_of_cost(task).modes
    held = tuple(Mode(m.id + HELD, m.hi, horizon, m.hi, m.demands, 1) for m in free if m.hi < horizon)
    return replace(task, modes=free + held)


def _stands(before: Step, after: Step) -> tuple[Demand, ...]:
    """What a lot stands in before and after a wait, such as its pans: it stands in them meanwhile too."""
    held = [
        {d for d in way.demands if d.part == Part() and d.states is None and d.resource not in (POOL, BENCH)}
        for step in (before, after)
        for way in step.ways
    ]
    return tuple(sorted(set.intersection(*held), key=lambda demand: demand.resource))


def _wait(lag: Lag, number: int, horizon: int, stands: tuple[Demand, ...]) -> Task:
    assert lag.hi is not None
    allowed = max(0, min(lag.hi - lag.lo, horizon))
    within = Mode("in", 0, allowed, 0, stands)
    over = Mode("over", allowed, horizon, allowed, stands, cost=1)
    return Task(f"wait:{number}", (within, over))


def _around(lag: Lag, wait: Task) -> Iterator[Lag]:
    yield Lag(lag.before, wait.id, lag.lo, lag.lo, before_side=lag.before_side)
    yield Lag(wait.id, lag.after, 0, 0, after_side=lag.after_side)


def way_of(step: Step, mode: str) -> StepWay:
    """The way of a step that a mode of the engine stands for."""
    return next(way for way in step.ways if way.mode == mode.removesuffix(HELD))


def gap(lag: Lag, solution: Solution) -> int:
    """Ticks between the two sides of a lag, as they were placed."""
    before, after = solution.placed[lag.before], solution.placed[lag.after]
    return int(getattr(after, lag.after_side) - getattr(before, lag.before_side))


def overruns(night: Night, links: tuple[RuledLag, ...], solution: Solution, clock: Clock) -> tuple[Overrun, ...]:
    """Everything in an answer that lasts or waits longer than it may, in order of time."""
    steps = {step.id: step for step in night.steps()}
    found = []
    for step in steps.values():
        placed = solution.placed[step.id]
        if placed.mode.endswith(HELD):
            window = way_of(step, placed.mode).window
            taken_s = float((placed.end - placed.start) * clock.tick_s)
            if taken_s >= window.max_s + clock.tick_s:
                found.append(Overrun(step, None, window.max_s, taken_s))
    for link in links:
        taken, most = gap(link.lag, solution), link.lag.hi
        if most is not None and taken > most:
            before, after = steps[link.lag.before], steps[link.lag.after]
            found.append(Overrun(before, after, float(most * clock.tick_s), float(taken * clock.tick_s)))
    return tuple(sorted(found, key=lambda o: (solution.placed[o.step.id].start, o.step.id)))
