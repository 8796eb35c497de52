"""What makes one plan better than another: the terms of the objective and their levels."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from smallhours.planning.engine.lags import length_range
from smallhours.planning.engine.model import Model, Need, Values, Var
from smallhours.planning.engine.presence import shifts_of
from smallhours.planning.engine.problem import Placed


@dataclass(frozen=True)
class Term:
    """A sum of variables times factors plus a constant."""

    parts: tuple[tuple[Var, int], ...]
    constant: int = 0

    @property
    def expr(self) -> Any:
        """The term as an expression for a constraint."""
        return sum(var * factor for var, factor in self.parts) + self.constant

    def value(self, values: Sequence[int]) -> int:
        """The term in a plan."""
        return sum(int(values[var.index]) * factor for var, factor in self.parts) + self.constant

    def least(self, model: Model) -> int:
        """A lower bound from the ranges of the variables alone; no term is ever negative."""
        bound = self.constant
        for var, factor in self.parts:
            domain = model.cp.proto.variables[var.index].domain
            bound += factor * (domain[0] if factor > 0 else domain[len(domain) - 1])
        return max(bound, 0)


@dataclass(frozen=True)
class Level:
    """The terms of one level with their weights."""

    terms: dict[str, Term]
    weights: dict[str, int]

    @property
    def expr(self) -> Any:
        """The weighted sum as an expression."""
        return sum(term.expr * self.weights[name] for name, term in self.terms.items())

    def value(self, values: Sequence[int]) -> int:
        """The weighted sum in a plan."""
        return sum(term.value(values) * self.weights[name] for name, term in self.terms.items())

    def least(self, model: Model) -> int:
        """A lower bound from the ranges of the variables alone."""
        return sum(term.least(model) * self.weights[name] for name, term in self.terms.items())


def levels(model: Model, stay: Mapping[str, Placed]) -> list[Level]:
    """The levels of the problem's objective, in order; an objective without levels has none."""
    objective = model.problem.objective
    return [
        Level(
            {name: _term(model, name, stay) for name in names},
            {name: objective.weights.get(name, 1) for name in names},
        )
        for names in objective.levels
    ]


def _term(model: Model, name: str, stay: Mapping[str, Placed]) -> Term:
    kind, _, resource = name.partition(":")
    if kind == "move":
        return _move(model, stay)
    if kind == "span":
        return _span(model, model.needs.get(resource, []))
    if kind in ("hours", "begins"):
        return _presence(model, kind, resource)
    if kind == "held":
        slots = model.stretches.get(resource, [])
        return Term(tuple(pair for slot in slots for pair in ((slot.end, 1), (slot.start, -1))))
    if kind == "changed":
        made = model.changes.get(resource, [])
        return Term(tuple((way, ticks) for change in made for ticks, way in change.ways.items()))
    plain: dict[str, Callable[[Model], Term]] = {
        "late": _late,
        "early": _early,
        "stale": _stale,
        "deviation": _deviation,
        "mode": _mode,
        "makespan": _makespan,
        "starts": _starts,
    }
    return plain[kind](model)


def _presence(model: Model, kind: str, name: str) -> Term:
    stays = model.presence.get(name, [])
    if kind == "hours":
        return Term(tuple(pair for comes, goes in stays for pair in ((goes, 1), (comes, -1))))
    resource = next(resource for resource in model.problem.resources if resource.id == name)
    ends = sum(end for _, end in shifts_of(resource, model.problem.horizon))
    return Term(tuple((comes, -1) for comes, _ in stays), ends if stays else 0)


def _late(model: Model) -> Term:
    parts = []
    for due in model.problem.dues:
        end = model.ends[due.task]
        first, last = model.windows[(due.task, "end")]
        if last <= due.at or due.late == 0:
            continue
        late = model.cp.new_int_var(max(first - due.at, 0), last - due.at, f"late {due.task}")
        model.cp.add_max_equality(late, [end - due.at, 0])
        model.derived(late, lambda values, end=end, at=due.at: max(values[end.index] - at, 0))  # type: ignore[misc]
        parts.append((late, due.late))
    return Term(tuple(parts))


def _early(model: Model) -> Term:
    parts = []
    for due in model.problem.dues:
        end = model.ends[due.task]
        first, last = model.windows[(due.task, "end")]
        if first >= due.at or due.early == 0:
            continue
        early = model.cp.new_int_var(max(due.at - last, 0), due.at - first, f"early {due.task}")
        model.cp.add_max_equality(early, [due.at - end, 0])
        model.derived(early, lambda values, end=end, at=due.at: max(at - values[end.index], 0))  # type: ignore[misc]
        parts.append((early, due.early))
    return Term(tuple(parts))


def _stale(model: Model) -> Term:
    parts = []
    for due in model.problem.dues:
        if due.fresh is None or due.late == 0:
            continue
        end, at = model.ends[due.task], due.at - due.fresh
        first, last = model.windows[(due.task, "end")]
        if first >= at:
            continue
        stale = model.cp.new_int_var(max(at - last, 0), at - first, f"stale {due.task}")
        model.cp.add_max_equality(stale, [at - end, 0])
        model.derived(stale, lambda values, end=end, at=at: max(at - values[end.index], 0))  # type: ignore[misc]
        parts.append((stale, due.late))
    return Term(tuple(parts))


def _deviation(model: Model) -> Term:
    parts = []
    for task in model.problem.tasks:
        wanted = {mode.id: mode.lo if mode.preferred is None else mode.preferred for mode in task.modes}
        if all(mode.lo == mode.hi == wanted[mode.id] for mode in task.modes):
            continue
        length = model.lengths[task.id]
        lo, hi = length_range(task)
        most = max(abs(edge - want) for edge in (lo, hi) for want in wanted.values())
        off = model.cp.new_int_var(0, most, f"off {task.id}")
        literals = {mode.id: model.chosen[(task.id, mode.id)] for mode in task.modes}
        alike = len(set(wanted.values())) == 1
        for mode_id, want in wanted.items():
            literal = literals[mode_id]
            for constraint in (model.cp.add(off >= length - want), model.cp.add(off >= want - length)):
                if literal is not None and not alike:
                    constraint.only_enforce_if(literal)
            if alike:
                break
        model.derived(off, _off_value(length, wanted, literals))
        parts.append((off, 1))
    return Term(tuple(parts))


def _off_value(length: Var, wanted: Mapping[str, int], literals: Mapping[str, Var | None]) -> Callable[[Values], int]:
    def value(values: Values) -> int:
        want = next(
            want for mode_id, want in wanted.items() if (literal := literals[mode_id]) is None or values[literal.index]
        )
        return abs(int(values[length.index]) - want)

    return value


def _mode(model: Model) -> Term:
    parts = []
    constant = 0
    for task in model.problem.tasks:
        for mode in task.modes:
            literal = model.chosen[(task.id, mode.id)]
            if literal is None:
                constant += mode.cost
            elif mode.cost:
                parts.append((literal, mode.cost))
    return Term(tuple(parts), constant)


def _move(model: Model, stay: Mapping[str, Placed]) -> Term:
    parts = []
    for name, where in stay.items():
        if name not in model.starts:
            continue
        start, was = model.starts[name], where.start
        first, last = model.windows[(name, "start")]
        most = max(abs(first - was), abs(last - was))
        moved = model.cp.new_int_var(max(first - was, was - last, 0), most, f"moved {name}")
        model.cp.add(moved >= start - was)
        model.cp.add(moved >= was - start)
        model.derived(moved, lambda values, start=start, was=was: abs(values[start.index] - was))  # type: ignore[misc]
        parts.append((moved, 1))
    return Term(tuple(parts))


def _makespan(model: Model) -> Term:
    ends = list(model.ends.values())
    if not ends:
        return Term(())
    reach = [model.windows[(task.id, "end")] for task in model.problem.tasks]
    last = model.cp.new_int_var(max(lo for lo, _ in reach), max(hi for _, hi in reach), "makespan")
    for end in ends:
        model.cp.add(last >= end)
    model.derived(last, lambda values: max(values[end.index] for end in ends))
    return Term(((last, 1),))


def _starts(model: Model) -> Term:
    starts = list(model.starts.values())
    return Term(tuple((start, -1) for start in starts), model.problem.horizon * len(starts))


def _span(model: Model, needs: list[Need]) -> Term:
    if not needs:
        return Term(())
    horizon = model.problem.horizon
    first = model.cp.new_int_var(0, horizon, "")
    last = model.cp.new_int_var(0, horizon, "")
    model.cp.add(first <= last)
    for need in needs:
        begins, ends = model.cp.add(first <= need.start.expr), model.cp.add(last >= need.end.expr)
        if need.busy is not None:
            begins.only_enforce_if(need.busy)
            ends.only_enforce_if(need.busy)
    model.derived(first, lambda v: min((n.start.value(v) for n in needs if n.is_busy(v)), default=0))
    model.derived(last, lambda v: max((n.end.value(v) for n in needs if n.is_busy(v)), default=0))
    return Term(((last, 1), (first, -1)))
