"""Where the changes that need something find room beside tasks that stand still."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from smallhours.planning.engine.parts import covered
from smallhours.planning.engine.problem import Placed, Problem, Resource, StateChange

MOST_TRIES = 5000
Use = tuple[int, int, int]  # from, to, amount


@dataclass(frozen=True)
class Gap:
    """A change of ``ticks`` that has to lie between ``start`` and ``end``."""

    resource: Resource
    before: str | None
    after: str
    start: int
    end: int
    ticks: int


class Room:
    """How much the tasks of a plan leave of what changes need."""

    def __init__(self, problem: Problem, placed: Mapping[str, Placed]) -> None:
        self._horizon = problem.horizon
        self._resources = {resource.id: resource for resource in problem.resources}
        wanted = {demand.resource for resource in problem.resources for demand in resource.change_demands}
        self._uses: dict[str, list[Use]] = {name: [] for name in wanted}
        for task in problem.tasks if wanted else ():
            where = placed.get(task.id)
            if where is None:
                continue
            for demand in next(mode for mode in task.modes if mode.id == where.mode).demands:
                start, end = covered(demand.part, where.start, where.end)
                if demand.resource in wanted and demand.amount and start < end:
                    self._uses[demand.resource].append((start, end, demand.amount))

    def earliest(self, gap: Gap, made: Iterable[StateChange] = ()) -> int | None:
        """The first tick at which a change fits into its gap beside tasks and changes ``made``, or None."""
        start = max(gap.start, gap.resource.changes_from)
        blocked: list[tuple[int, int]] = []
        for demand in gap.resource.change_demands:
            blocked += self._blocked(demand.resource, demand.amount, self._of_changes(demand.resource, made))
        for a, b in sorted(blocked):
            if a < start + gap.ticks and start < b:
                start = b
        return start if start + gap.ticks <= gap.end else None

    def _of_changes(self, name: str, made: Iterable[StateChange]) -> list[Use]:
        return [
            (change.start, change.end, demand.amount)
            for change in made
            for demand in self._resources[change.resource].change_demands
            if demand.resource == name
        ]

    def _blocked(self, name: str, amount: int, more: Sequence[Use]) -> list[tuple[int, int]]:
        """Stretches in which less than ``amount`` is left."""
        resource = self._resources[name]
        steps: dict[int, int] = {0: 0}
        for start, end, used in (*self._uses[name], *more):
            steps[start] = steps.get(start, 0) + used
            steps[end] = steps.get(end, 0) - used
        for start, end, capacity in resource.calendar:
            lost = resource.capacity - capacity
            steps[start] = steps.get(start, 0) + lost
            steps[end] = steps.get(end, 0) - lost
        found: list[tuple[int, int]] = []
        used = 0
        ticks = sorted(steps)
        for tick, following in zip(ticks, [*ticks[1:], self._horizon], strict=True):
            used += steps[tick]
            if used + amount > resource.capacity and tick < following:
                found.append((tick, following))
        return found


def places(room: Room, gaps: Sequence[Gap]) -> tuple[StateChange, ...] | None:
    """All changes placed, each in its gap, none taking what another needs; None if that cannot be found.

    Some order of the changes leads to a placement if there is any, when each is put as early as it fits; orders are
    tried with the gap that ends first in front, up to ``MOST_TRIES`` placings.
    """
    tries = [0]

    def rest(left: Sequence[Gap], made: tuple[StateChange, ...]) -> tuple[StateChange, ...] | None:
        if not left:
            return made
        for number, gap in enumerate(left):
            tries[0] += 1
            start = room.earliest(gap, made)
            if start is None or tries[0] > MOST_TRIES:
                return None  # what does not fit beside fewer changes fits beside more even less
            change = StateChange(gap.resource.id, gap.before, gap.after, start, start + gap.ticks)
            found = rest([*left[:number], *left[number + 1 :]], (*made, change))
            if found is not None:
                return found
        return None

    found = rest(sorted(gaps, key=lambda gap: gap.end), ())
    return None if found is None else tuple(sorted(found, key=lambda c: (c.start, c.resource)))
