"""Links between tasks: the later side comes no sooner and no later after the earlier side than the link says."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from smallhours.planning.check.case import Case, minutes, seconds
from smallhours.planning.check.violation import Violation
from smallhours.planning.plan import PlanLink, PlanTask


def links(case: Case) -> Iterator[Violation]:
    """Every link holds."""
    for link in case.plan.links:
        before, after = case.tasks.get(link.before), case.tasks.get(link.after)
        if before is None or after is None:
            continue  # names says so
        gap_s = seconds(_side(before, link.before_side), _side(after, link.after_side))
        if link.max_s is not None and link.max_s < link.min_s:
            yield Violation("link", _named(link), "its most is less than its least")
        if gap_s < link.min_s:
            yield Violation("link", _named(link), f"is {minutes(gap_s)} long, at least {minutes(link.min_s)}")
        if link.max_s is not None and gap_s > link.max_s:
            yield Violation("link", _named(link), f"is {minutes(gap_s)} long, at most {minutes(link.max_s)}")


def _side(task: PlanTask, side: str) -> dt.datetime:
    return task.start if side == "start" else task.end


def _named(link: PlanLink) -> str:
    rule = f" ({link.rule})" if link.rule else ""
    return f"{link.before} {link.before_side} > {link.after} {link.after_side}{rule}"
