"""What the planner is asked, in whole ticks and plain names: tasks, modes, resources, lags, dues.

Nothing in this package knows what is planned. Times are whole ticks from the start of the horizon;
the meaning of a tick (a minute, five minutes) belongs to the caller.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

Side = Literal["start", "end"]


@dataclass(frozen=True)
class Part:
    """Which stretch of a task a demand covers.

    ``whole``: all of it. ``first``/``last``: only that many ticks at its start/end (the whole task if it is
    shorter). ``but_last``: everything except the last ``ticks``; ``but_first``: everything except the first.
    """

    kind: Literal["whole", "first", "last", "but_last", "but_first"] = "whole"
    ticks: int = 0


@dataclass(frozen=True)
class Demand:
    """``amount`` units of ``resource`` during ``part`` of the task.

    ``states``: for a resource with setup states, the states under which this demand can be served
    (an oven load that bakes between 175 and 185 °C lists the states "175", "180", "185").
    """

    resource: str
    amount: int = 1
    part: Part = Part()
    states: frozenset[str] | None = None


@dataclass(frozen=True)
class Mode:
    """One way to do a task: its length window and what it needs.

    ``lo`` <= length <= ``hi``; ``preferred`` is the length wanted (``lo`` if None); ``cost`` is what choosing
    this mode costs, in the unit of the objective's ``mode`` weight.
    """

    id: str
    lo: int
    hi: int
    preferred: int | None = None
    demands: tuple[Demand, ...] = ()
    cost: int = 0


@dataclass(frozen=True)
class Task:
    """Something to place in time, in exactly one of its modes.

    ``earliest``/``latest`` bound its start and end. ``fixed``: (start, end, mode id) of what already happened.
    """

    id: str
    modes: tuple[Mode, ...]
    earliest: int = 0
    latest: int | None = None
    fixed: tuple[int, int, str] | None = None


@dataclass(frozen=True)
class Lag:
    """``before``'s side + ``lo`` <= ``after``'s side <= ``before``'s side + ``hi`` (no upper limit if None)."""

    before: str
    after: str
    lo: int = 0
    hi: int | None = None
    before_side: Side = "end"
    after_side: Side = "start"


@dataclass(frozen=True)
class Resource:
    """Something of limited capacity.

    ``calendar``: (from, to, capacity) pieces that override ``capacity``; outside the pieces, ``capacity`` holds.
    ``states``: the setup states it can stand in; empty for a plain resource. A resource with states serves
    overlapping demands only in one common state, and takes ``change[(s, t)]`` ticks between leaving state ``s``
    and being ready in ``t`` (both directions listed separately). ``initial_state``: the state at tick 0.
    ``initial_change[t]``: ticks to reach state ``t`` from where it stands at the start, if it stands in none.
    """

    id: str
    capacity: int = 1
    calendar: tuple[tuple[int, int, int], ...] = ()
    states: tuple[str, ...] = ()
    change: dict[tuple[str, str], int] = field(default_factory=dict)
    initial_state: str | None = None
    initial_change: dict[str, int] = field(default_factory=dict)


@dataclass(frozen=True)
class Due:
    """``task`` should end by ``at``.

    Each tick late costs ``late``, each tick early ``early``. ``max_early``: it may not end more than so many
    ticks before ``at`` (freshness). Costs already carry how much hangs on it.
    """

    task: str
    at: int
    late: int = 100
    early: int = 1
    max_early: int | None = None


@dataclass(frozen=True)
class Objective:
    """What is better, in order. Each level is a set of terms, summed with their weights; a level is settled
    before the next is looked at.

    Terms: ``late`` (lateness of dues), ``early`` (earliness of dues), ``deviation`` (ticks away from preferred
    lengths), ``mode`` (mode costs), ``move`` (ticks moved against a published plan), ``makespan`` (end of the last
    task), ``span:RESOURCE`` (last end minus first start of the work on that resource),
    ``held:RESOURCE`` (ticks for which a resource with states stands ready in any state), ``starts`` (tasks should start late: ticks
    between each task's start and the horizon).
    """

    levels: tuple[tuple[str, ...], ...] = (("late",), ("early", "deviation", "mode"))
    weights: dict[str, int] = field(default_factory=dict)


@dataclass(frozen=True)
class Problem:
    """A whole question to the planner."""

    horizon: int
    tasks: tuple[Task, ...]
    resources: tuple[Resource, ...] = ()
    lags: tuple[Lag, ...] = ()
    dues: tuple[Due, ...] = ()
    objective: Objective = Objective()


@dataclass(frozen=True)
class Placed:
    """Where a task landed."""

    start: int
    end: int
    mode: str


@dataclass(frozen=True)
class StateStretch:
    """A stretch during which a resource stands in one state."""

    resource: str
    state: str
    start: int
    end: int


@dataclass(frozen=True)
class LevelResult:
    """What one level of the objective came to: its value, the proven lower bound, each term's own value."""

    terms: dict[str, int]
    value: int
    bound: int
    proven: bool


@dataclass(frozen=True)
class Solution:
    """An answer: every task placed, how resources with states stand, and how good it is.

    ``status``: ``optimal`` (every level proven), ``feasible``, ``infeasible`` (proven that nothing fits),
    ``unknown`` (nothing found in the time given); placed is empty for the last two.
    ``trace``: (seconds since start, level index, value) of each better plan found.
    """

    status: Literal["optimal", "feasible", "infeasible", "unknown"]
    placed: dict[str, Placed] = field(default_factory=dict)
    stretches: tuple[StateStretch, ...] = ()
    levels: tuple[LevelResult, ...] = ()
    trace: tuple[tuple[float, int, int], ...] = ()
    stopped: bool = False
