"""Due times: what is said to be ready and late is what the stages say."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from smallhours.planning.check.case import Case, minutes, seconds
from smallhours.planning.check.violation import Violation
from smallhours.planning.plan import PlanOrder


def ready(case: Case) -> Iterator[Violation]:
    """A lot is ready when its last stage ends, an order when the last of its lots is."""
    ends = _ends(case)
    for name, lot in case.lots.items():
        if name in ends and lot.ready != ends[name]:
            yield Violation("ready", name, f"says {_when(case, lot.ready)}, its stages {_when(case, ends[name])}")
    for order in case.plan.orders:
        found = [ends[share.lot] for share in order.lots if share.lot in ends]
        last = max(found) if found and len(found) == len(order.lots) else None
        if case.plan.tasks and order.ready != last:
            yield Violation("ready", _who(order), f"says {_when(case, order.ready)}, its lots say {_when(case, last)}")


def late(case: Case) -> Iterator[Violation]:
    """Late is what is ready after it is due, a lot is due when its first order is, and what is late is told."""
    for order in case.plan.orders:
        if order.ready is None:
            continue
        late_s = max(0.0, seconds(order.due, order.ready))
        if order.late_s != late_s:
            yield Violation("late", _who(order), f"says {minutes(order.late_s)} late, it is {minutes(late_s)}")
        if late_s and not any(reason.product == order.product for reason in case.plan.late):
            yield Violation("late", _who(order), "is late, and no reason is given")
    for name, lot in case.lots.items():
        dues = [order.due for order in case.plan.orders if any(share.lot == name for share in order.lots)]
        if dues and lot.due != min(dues):
            yield Violation("late", name, f"is due {case.clock(lot.due)}, its first order {case.clock(min(dues))}")
    yield from _objective(case)


def _objective(case: Case) -> Iterator[Violation]:
    """What the levels claim: no value under its bound, nothing proven that is not, no lateness left out."""
    if case.plan.status in ("infeasible", "unknown", "empty") and case.plan.tasks:
        yield Violation("late", "status", f"is {case.plan.status!r}, and there are tasks")
    for number, level in enumerate(case.plan.objective, 1):
        if level.value < level.bound - 1e-6:
            yield Violation("late", f"objective level {number}", f"{level.value:g} is under its bound {level.bound:g}")
        if level.proven and abs(level.value - level.bound) > 1e-6:
            yield Violation("late", f"objective level {number}", "is said to be proven, but is not its bound")
    said = [level.terms["late"] for level in case.plan.objective if "late" in level.terms]
    if said and said[0] == 0 and any(order.late_s >= case.plan.tick_s for order in case.plan.orders):
        yield Violation("late", "objective", "says that nothing is late, and something is")


def _ends(case: Case) -> dict[str, dt.datetime]:
    return {of: max(task.end for task in tasks) for of, tasks in case.strands.items() if of in case.lots}


def _who(order: PlanOrder) -> str:
    return f"{order.customer}'s {order.product}"


def _when(case: Case, instant: dt.datetime | None) -> str:
    return "never" if instant is None else f"{case.clock(instant)}"
