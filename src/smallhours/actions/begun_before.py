"""What a stored plan has begun on the calendar days before its bake is sold."""

from __future__ import annotations

from smallhours.actions.night_papers import papers_of
from smallhours.actions.stored_plan import StoredPlan
from smallhours.errors import SmallhoursError
from smallhours.planning.days.document import Begin


def begun_before(stored: StoredPlan) -> list[Begin]:
    """Fed, soaked, mixed, made, loaded and taken out before midnight, in order of time.

    Empty where the documents that the plan was made from no longer give its batches, as in a plan made anew at night.
    """
    from smallhours.planning.days.ahead import beginnings
    from smallhours.planning.days.begun import Days
    from smallhours.planning.whatif.given import given_of

    if not stored.plan.tasks:
        return []
    try:
        papers = papers_of(stored)
        given = given_of(papers.plan, papers.formulas, papers.kitchen, papers.pantry)
        days = Days(papers.formulas, papers.kitchen, papers.pantry)
        work = days.planned(papers.plan, given.orders)
    except SmallhoursError:
        return []
    return [] if work is None else sorted(beginnings(days, work), key=lambda begin: (begin.start, begin.what))
