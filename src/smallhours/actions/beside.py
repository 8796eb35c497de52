"""The plans of other nights that share the kitchen with a night that is planned."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from smallhours.actions.stored_plan import stored_plan
from smallhours.errors import DocumentError, NotFound
from smallhours.planning.plan import Plan
from smallhours.records import queries

DAYS_BEFORE = 4
DAYS_AFTER = 2


def beside(night: dt.date) -> list[Plan]:
    """What a night has to leave to others: the newest plans of the nights before it (a published one first), and the
    published ones of the nights after it, which people have been told of.

    A plan of another schema, from an earlier version of the program, cannot be minded and is left out.
    """
    days = [*range(-DAYS_BEFORE, 0), *range(1, DAYS_AFTER + 1)]
    found = (_plan(night + dt.timedelta(days=n), published=n > 0) for n in days)
    return [plan for plans in found for plan in plans if plan.tasks]


def _plan(night: dt.date, published: bool) -> Iterator[Plan]:
    try:
        kept = queries.kept_plan(night)
        if kept.published or not published:
            yield stored_plan(kept).plan
    except (NotFound, DocumentError):
        return
