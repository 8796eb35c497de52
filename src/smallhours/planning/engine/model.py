"""The question as a constraint model: its variables, and how a plan maps to a value for each of them.

The rules that tie the variables together are in ``rules``, one function each.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from ortools.sat.python import cp_model

from smallhours.planning.engine.lags import Instant
from smallhours.planning.engine.problem import Demand, Placed, Problem, StateStretch

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


@dataclass
class Model:
    """The variables of a problem.

    ``least_stretches[r]``: how many stretches resource r gets at any rate; ``scale`` multiplies the guess of how many
    it needs; ``cramped``: resources that got fewer than could ever be useful, so that a proof within the model is
    none for the problem.
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

    def values_of(self, placed: Mapping[str, Placed], stretches: Sequence[StateStretch]) -> Values | None:
        """A value for every variable from a whole plan; None if it has more stretches than the model."""
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
        return self.settle(values)

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
