"""The question as a constraint model: its variables, and how a plan maps to a value for each of them.

The rules that tie the variables together are in ``rules``, one function each.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from ortools.sat.python import cp_model

from smallhours.planning.engine.lags import Instant
from smallhours.planning.engine.presence import shifts_of
from smallhours.planning.engine.problem import Demand, Placed, Problem, StateChange, StateStretch

Values = list[int]
Var = Any  # the solver's variables carry no types
Settle = Callable[[Values], None]


@dataclass(frozen=True)
class Point:
    """An instant as a variable plus a constant."""

    var: Var
    offset: int = 0

    @property
    def expr(self) -> Any:
        """The instant as an expression for a constraint."""
        return self.var + self.offset

    def value(self, values: Sequence[int]) -> int:
        """The instant in a plan."""
        return int(values[self.var.index]) + self.offset


@dataclass(frozen=True)
class Need:
    """A demand of one or more modes of a task, as an interval.

    ``present``: true when such a mode is chosen (None: always). ``busy``: true when it also covers at least one
    tick (None: always). ``ways``: how many modes have the demand. ``may_be_empty``: it may cover no tick.
    """

    task: str
    demand: Demand
    start: Point
    end: Point
    present: Var | None
    busy: Var | None
    interval: Any
    ways: int
    may_be_empty: bool

    def is_busy(self, values: Sequence[int]) -> bool:
        """Whether it needs anything in a plan."""
        return self.busy is None or bool(values[self.busy.index])


@dataclass(frozen=True)
class StretchVars:
    """One possible stretch of a resource with states; ``inside[i]`` says whether need i lies in it."""

    start: Var
    end: Var
    used: Var
    state: dict[str, Var]
    inside: tuple[Var, ...]


@dataclass(frozen=True)
class ChangeVars:
    """A possible change before the stretch of the same number; ``ways``: true for the ticks it takes, if any."""

    start: Var
    ways: dict[int, Var]


@dataclass
class Model:
    """The variables of a problem.

    ``least_stretches[r]``: how many stretches resource r gets at any rate; ``scale`` multiplies the guess of how many
    it needs; ``cramped``: resources that got fewer than could ever be useful, so that a proof within the model is
    none for the problem. ``change_needs[r]``: intervals and amounts that changes of other resources need of r.
    ``presence[r]``: from when to when each shift of r is there, if that is asked for.
    ``settlers``: run in order, they give every derived variable its value from starts, ends, modes and stretches.
    """

    problem: Problem
    windows: dict[Instant, tuple[int, int]]
    least_stretches: Mapping[str, int] = field(default_factory=dict)
    scale: int = 1
    cp: Any = field(default_factory=cp_model.CpModel)
    starts: dict[str, Var] = field(default_factory=dict)
    ends: dict[str, Var] = field(default_factory=dict)
    lengths: dict[str, Var] = field(default_factory=dict)
    chosen: dict[tuple[str, str], Var | None] = field(default_factory=dict)
    needs: dict[str, list[Need]] = field(default_factory=dict)
    stretches: dict[str, list[StretchVars]] = field(default_factory=dict)
    presence: dict[str, list[tuple[Var, Var]]] = field(default_factory=dict)
    changes: dict[str, list[ChangeVars]] = field(default_factory=dict)
    change_needs: dict[str, list[tuple[Any, int]]] = field(default_factory=dict)
    cramped: set[str] = field(default_factory=set)
    settlers: list[Settle] = field(default_factory=list)

    def derived(self, var: Var, value: Callable[[Values], int]) -> Var:
        """Note how ``var`` follows from variables made before it."""

        def settle(values: Values) -> None:
            values[var.index] = value(values)

        self.settlers.append(settle)
        return var

    def blank(self) -> Values:
        """A value for every variable: the least it can take."""
        return [variable.domain[0] for variable in self.cp.proto.variables]

    def settle(self, values: Sequence[int]) -> Values:
        """The same plan with every derived variable at its exact value and every stretch as short as it can be."""
        settled = list(values)
        for settle in self.settlers:
            settle(settled)
        return settled

    def values_of(
        self, placed: Mapping[str, Placed], stretches: Sequence[StateStretch], changes: Sequence[StateChange] = ()
    ) -> Values | None:
        """A value for every variable from a whole plan.

        None if it has more stretches than the model, or if one of the ``changes`` that need something is missing.
        """
        values = self.blank()
        for task in self.problem.tasks:
            where = placed[task.id]
            values[self.starts[task.id].index] = where.start
            values[self.ends[task.id].index] = where.end
            for mode in task.modes:
                literal = self.chosen[(task.id, mode.id)]
                if literal is not None:
                    values[literal.index] = int(mode.id == where.mode)
        for resource, slots in self.stretches.items():
            mine = sorted((s for s in stretches if s.resource == resource), key=lambda s: (s.start, s.end))
            if len(mine) > len(slots):
                return None
            for slot, stretch in zip(slots, mine, strict=False):
                values[slot.start.index], values[slot.end.index] = stretch.start, stretch.end
                values[slot.state[stretch.state].index] = 1
            if resource in self.changes and not self._lay_changes(resource, mine, changes, values):
                return None
        return self.settle(values)

    def there_of(self, values: Sequence[int]) -> dict[str, tuple[tuple[tuple[int, int], tuple[int, int]], ...]]:
        """For each resource whose hours count, its shifts and when each is needed."""
        resources = {resource.id: resource for resource in self.problem.resources}
        found = {}
        for name, stays in self.presence.items():
            shifts = shifts_of(resources[name], self.problem.horizon)
            when = [(values[comes.index], values[goes.index]) for comes, goes in stays]
            found[name] = tuple(zip(shifts, when, strict=True))
        return found

    def changes_of(self, values: Sequence[int]) -> tuple[StateChange, ...]:
        """The changes that need something, where they lie."""
        found = []
        for resource in self.problem.resources:
            before = resource.initial_state
            for slot, change in zip(
                self.stretches.get(resource.id, []), self.changes.get(resource.id, []), strict=False
            ):
                if not values[slot.used.index]:
                    break
                after = next(name for name, var in slot.state.items() if values[var.index])
                start = values[change.start.index]
                found += [
                    StateChange(resource.id, before, after, start, start + ticks)
                    for ticks, way in change.ways.items()
                    if values[way.index]
                ]
                before = after
        return tuple(found)

    def _lay_changes(
        self, name: str, stretches: Sequence[StateStretch], changes: Sequence[StateChange], values: Values
    ) -> bool:
        """Write down where the changes of a resource lie; False if one that its stretches ask for is not there."""
        resource = next(r for r in self.problem.resources if r.id == name)
        before, ready = resource.initial_state, 0
        for variables, stretch in zip(self.changes[name], stretches, strict=False):
            ticks = resource.change_ticks(before, stretch.state)
            if ticks:
                fits = (
                    c.start
                    for c in changes
                    if c.resource == name and ready <= c.start and c.start + ticks <= stretch.start
                )
                start = next(fits, None)
                if start is None:
                    return False
                values[variables.start.index] = start
            before, ready = stretch.state, stretch.end
        return True

    def placed(self, values: Sequence[int]) -> dict[str, Placed]:
        """Where every task lies."""
        found = {}
        for task in self.problem.tasks:
            mode = next(m.id for m in task.modes if self._is_chosen(task.id, m.id, values))
            found[task.id] = Placed(values[self.starts[task.id].index], values[self.ends[task.id].index], mode)
        return found

    def _is_chosen(self, task: str, mode: str, values: Sequence[int]) -> bool:
        literal = self.chosen[(task, mode)]
        return literal is None or bool(values[literal.index])

    def stretches_of(self, values: Sequence[int]) -> tuple[StateStretch, ...]:
        """How the resources with states stand."""
        found = []
        for resource, slots in self.stretches.items():
            for slot in slots:
                if values[slot.used.index]:
                    state = next(name for name, var in slot.state.items() if values[var.index])
                    found.append(StateStretch(resource, state, values[slot.start.index], values[slot.end.index]))
        return tuple(found)
