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
    ``and_after``: all of it and as many ticks after its end. ``from_start``: so many ticks from its start on, also
    beyond its end. ``from_end``: so many ticks from ``lead`` before its end on.
    """

    kind: Literal["whole", "first", "last", "but_last", "but_first", "and_after", "from_start", "from_end"] = "whole"
    ticks: int = 0
    lead: int = 0


@dataclass(frozen=True)
class Demand:
    """``amount`` units of ``resource`` during ``part`` of the task.

    ``states``: for a resource with setup states, the states under which this demand can be served (None: any
    of them). A demand that covers no ticks, or asks for an amount of 0, needs nothing.
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
    ``started``: (start, mode id) of what is under way, its end still open.
    """

    id: str
    modes: tuple[Mode, ...]
    earliest: int = 0
    latest: int | None = None
    fixed: tuple[int, int, str] | None = None
    started: tuple[int, str] | None = None


@dataclass(frozen=True)
class Lag:
    """``before``'s side + ``lo`` <= ``after``'s side <= ``before``'s side + ``hi`` (no upper limit if None).

    ``lo`` and ``hi`` may be negative: the after side may then come before the before side.
    """

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
    ``states``: the setup states it can stand in; empty for a plain resource. A resource with states stands ready
    in stretches of one state each; every demand lies inside one stretch whose state it allows, and between the
    end of a stretch in ``s`` and the start of the next in ``t`` there are at least ``change[(s, t)]`` ticks (both
    directions listed separately; 0 from a state to itself unless listed). ``initial_state``: the state at tick 0.
    ``initial_change[t]``: ticks from tick 0 to being ready in state ``t``, if it stands in none at the start (0
    unless listed).
    ``change_demands``: what a change needs for all of its ticks, of other resources without states (hands, say). A
    change that needs something takes exactly its ticks, somewhere between the two stretches, and not before
    ``changes_from``; where it lies is part of the answer.
    ``shifts``: the (from, to) of each unit its capacity is made of, for what is there only as long as it is needed
    (the terms ``hours`` and ``begins``); at every tick the calendar has as many as there are shifts. Without shifts
    the calendar is cut into layers.
    """

    id: str
    capacity: int = 1
    calendar: tuple[tuple[int, int, int], ...] = ()
    states: tuple[str, ...] = ()
    change: dict[tuple[str, str], int] = field(default_factory=dict)
    initial_state: str | None = None
    initial_change: dict[str, int] = field(default_factory=dict)
    change_demands: tuple[Demand, ...] = ()
    changes_from: int = 0
    shifts: tuple[tuple[int, int], ...] = ()

    def change_ticks(self, before: str | None, after: str) -> int:
        """Ticks of a change from ``before`` (None: from how it stands at tick 0, in no state) to ``after``."""
        if before is None:
            return self.initial_change.get(after, 0)
        return self.change.get((before, after), 0)


@dataclass(frozen=True)
class Due:
    """``task`` should end by ``at`` (which may lie after the horizon).

    Each tick late costs ``late``, each tick early ``early``. ``max_early``: it may not end more than so many
    ticks before ``at`` (freshness). ``fresh``: it should not end more than so many ticks before ``at``; each tick more
    costs ``late`` in the term ``stale``. Costs already carry how much hangs on it.
    """

    task: str
    at: int
    late: int = 100
    early: int = 1
    max_early: int | None = None
    fresh: int | None = None


@dataclass(frozen=True)
class Objective:
    """What is better, in order. Each level is a set of terms, summed with their weights; a level is settled
    before the next is looked at.

    Terms, each counted in ticks unless said otherwise:

    - ``late``, ``early``: over all dues, ticks late (early) times that due's own cost for a tick;
    - ``stale``: over all dues with ``fresh``, ticks ended before that, times the due's cost for a late tick;
    - ``deviation``: ticks between each task's length and the preferred length of its mode;
    - ``mode``: the costs of the modes chosen;
    - ``move``: ticks between each start and its start in the plan given as ``stay`` (0 if none was given);
    - ``makespan``: the end of the last task;
    - ``starts``: from each task's start to the horizon (small when tasks start late);
    - ``span:RESOURCE``: from the first start to the last end of the work on that resource;
    - ``held:RESOURCE``: how long a resource with states stands ready in any state;
    - ``hours:RESOURCE``: over the shifts of a resource, ticks from when each has to be there until it may go;
    - ``begins:RESOURCE``: over its shifts, ticks from when each has to be there to its end (small for late starts);
    - ``changed:RESOURCE``: ticks of the changes of that resource that need something.

    ``weights[term]`` multiplies a term within its level (1 unless listed).
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
class StateChange:
    """A change that needs something, where it was placed: out of ``before`` (None: as it stood at tick 0, in no
    state) and into ``after``."""

    resource: str
    before: str | None
    after: str
    start: int
    end: int


@dataclass(frozen=True)
class LevelResult:
    """What one level of the objective came to.

    ``terms``: each term before its weight. ``value``: their weighted sum. ``bound``: no plan that is as good on
    all earlier levels has a lower value. ``proven``: ``value`` is such a plan's least, and so were the earlier
    levels' values. ``least``: what no plan at all can be under, term by term.
    """

    terms: dict[str, int]
    value: int
    bound: int
    proven: bool
    least: dict[str, int] = field(default_factory=dict)


@dataclass(frozen=True)
class Solution:
    """An answer: every task placed, how resources with states stand, when they are changed, and how good it is.

    ``status``: ``optimal`` (every level proven), ``feasible``, ``infeasible`` (proven that nothing fits),
    ``unknown`` (nothing found in the time given); placed is empty for the last two.
    ``changes``: those that need something. ``there``: for a resource whose hours count, each shift and the stretch of
    it in which it is needed.
    ``trace``: (seconds since start, level index, value) of each better plan found.
    """

    status: Literal["optimal", "feasible", "infeasible", "unknown"]
    placed: dict[str, Placed] = field(default_factory=dict)
    stretches: tuple[StateStretch, ...] = ()
    changes: tuple[StateChange, ...] = ()
    there: dict[str, tuple[tuple[tuple[int, int], tuple[int, int]], ...]] = field(default_factory=dict)
    levels: tuple[LevelResult, ...] = ()
    trace: tuple[tuple[float, int, int], ...] = ()
    stopped: bool = False
