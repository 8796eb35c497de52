"""A night planned until its windows are those of the hours at which its stages lie.

How long a stage takes depends on the hour, and the hour on the plan. So a plan is sought quickly with windows for hours
that are reckoned back from the due times; then the plan itself, with the forecast for the hours of that one; then it is
moved, as little as it must, until the forecast for its own hours says what it was made with.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace

from smallhours.forecast.windows import StageWindow
from smallhours.planning.engine.problem import Objective, Placed, Problem, Solution, Task
from smallhours.planning.shift.agreement import residual_s
from smallhours.planning.shift.ask import Question
from smallhours.planning.shift.loosen import is_loosened
from smallhours.planning.shift.rules import Night
from smallhours.planning.shift.steps import Strand
from smallhours.planning.shift.windows import Key

MOST_REPAIRS = 3  # of the plan itself, which was made with the forecast for another one's hours
CLOSE_S = 60.0  # of a difference: below a tick nobody sees it
SAID_FROM_S = 300.0  # of a difference, from which on a note tells of it
NEAR_S = 3600.0  # how far a repair moves anything
SCOUT_SHARE, MAIN_SHARE, MOVE_SHARE = 0.2, 0.6, 0.1  # of the time, the last for each repair
LONGEST_SCOUT_S, LEAST_MOVE_S = 3.0, 4.0

Known = Mapping[Key, StageWindow]
Forecast = Callable[[Night, Mapping[str, Placed], bool], dict[Key, StageWindow]]


@dataclass(frozen=True)
class Answer:
    """A night as it was asked and the engine's answer; ``residual_s``: how far the windows that were asked with are
    from the forecast for the hours of the answer."""

    night: Night
    question: Question
    solution: Solution
    residual_s: float = 0.0


def scouted(night: Night, question: Question, solver: Callable[[Problem], Solution]) -> Answer:
    """A plan that was found quickly: good enough for the hours at which stages will roughly lie."""
    return Answer(night, question, solver(question.problem))


def hours_of(answer: Answer) -> Mapping[str, Placed]:
    """Where an answer has every stage; reckoned back from the due times if it has none."""
    return answer.solution.placed or dict(_reckoned(answer.night))


def _reckoned(night: Night) -> Iterator[tuple[str, Placed]]:
    """Every stage at its wanted length, just before what comes after it."""
    begins: dict[str, int] = {}
    waiting = [batch for batch, _ in night.batches]
    strands = {batch.id: strand for batch, strand in night.batches}
    while waiting:
        ready = [batch for batch in waiting if all(name in begins for name in batch.feeds)]
        for batch in ready or waiting[:1]:
            waiting.remove(batch)
            ends = [begins[name] for name in batch.feeds if name in begins]
            for lot in night.lots.get(batch.id, ()):
                due = next((night.clock.tick(step.lot.due) for step in lot.steps if step.lot is not None), 0)
                placed = list(_back_from(night, due, lot))
                yield from placed
                ends += [at.start for _, at in placed[-1:]]
            placed = list(_back_from(night, min(ends, default=night.clock.ticks // 2), strands[batch.id]))
            yield from placed
            begins[batch.id] = min([at.start for _, at in placed], default=min(ends, default=0))


def _back_from(night: Night, end: int, strand: Strand) -> Iterator[tuple[str, Placed]]:
    for step in reversed(strand.steps):
        length = night.clock.length(step.ways[0].window.preferred_s)
        start = max(0, end - length)
        yield step.id, Placed(start, start + length, step.ways[0].mode)
        end = start


def repaired(
    answer: Answer,
    asked: Callable[[Known], tuple[Night, Question]],
    known: Known,
    moved: Callable[[Problem, Mapping[str, Placed]], Solution],
    forecast: Forecast,
) -> Answer:
    """The answer moved until its windows are those of its own hours, or as near to it as it gets.

    ``asked``: the night with such windows; ``known``: those the answer was asked with; ``moved``: a question's answer
    that is near to a plan. One that is later than the answer was is not taken; nor is a plan moved whose rests and
    waits may last too long, because nothing fits.
    """
    last, told = _told(answer, forecast)
    best = last
    if is_loosened(answer.question):
        return best
    for _ in range(MOST_REPAIRS):
        if best.residual_s < CLOSE_S or last.solution.stopped:
            break
        known = {**known, **told}
        night, question = asked(known)
        found = moved(question.problem, last.solution.placed)
        if not found.placed or _later(found, answer.solution):
            break
        last, told = _told(Answer(night, question, found), forecast)
        best = min(best, last, key=lambda each: each.residual_s)
    return best


def with_residual(answer: Answer, forecast: Forecast) -> Answer:
    """An answer with how far it is from the forecast for its own hours."""
    return _told(answer, forecast)[0]


def _told(answer: Answer, forecast: Forecast) -> tuple[Answer, Known]:
    if not answer.solution.placed:
        return answer, {}
    placed = answer.solution.placed
    told = forecast(answer.night, placed, True)
    return replace(answer, residual_s=residual_s(answer.night, placed, told)), told


def near(problem: Problem, placed: Mapping[str, Placed], ticks: int) -> Problem:
    """The same question, in which everything stays in its place and within so many ticks of where a plan has it, and
    after what comes first only staying there and the lengths wanted count."""
    tasks = tuple(_near(task, placed[task.id], ticks, problem.horizon) for task in problem.tasks)
    return replace(steady(problem), tasks=tasks)


def steady(problem: Problem) -> Problem:
    """The same question, in which after what comes first only staying where a plan has it and the lengths count."""
    own = problem.objective
    return replace(problem, objective=Objective((*own.levels[:1], ("move", "deviation")), own.weights))


def _near(task: Task, at: Placed, ticks: int, horizon: int) -> Task:
    latest = min(at.end + ticks, horizon, horizon if task.latest is None else task.latest)
    modes = tuple(mode for mode in task.modes if mode.id == at.mode)
    return replace(task, modes=modes, earliest=max(task.earliest, at.start - ticks), latest=latest)


def note_of(residual: float) -> tuple[str, ...]:
    """What a plan says of a difference that is too large to be left unsaid."""
    if residual < SAID_FROM_S:
        return ()
    return (
        f"the hours of this plan are not quite those its stages were forecast for: one of them may need up to "
        f"{residual / 60:.0f} min more or less than its window says",
    )


def _later(found: Solution, before: Solution) -> bool:
    return bool(found.levels and before.levels) and found.levels[0].value > before.levels[0].value
