"""The same night in several variations, side by side."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence

from smallhours.bakery.shift.variation import Variation
from smallhours.errors import BadInput
from smallhours.planning.plan import Plan
from smallhours.planning.whatif.attempt import Attempt, Thinking, as_planned, night_of, tried
from smallhours.planning.whatif.document import Measures
from smallhours.planning.whatif.given import Given
from smallhours.planning.whatif.measures import measures
from smallhours.planning.whatif.say import said
from smallhours.planning.whatif.varied import varied

AS_IT_IS = "As it is"
OnStep = Callable[[int, int, str], None]
"""Told before each step: its number (from 1), how many there are at most, what is tried."""


def compare(
    given: Given,
    variations: Sequence[Variation],
    *,
    made_at: dt.datetime,
    thinking: Thinking,
    plan: Plan | None = None,
    on_step: OnStep | None = None,
) -> tuple[Measures, ...]:
    """The night as it is, then each variation of it. ``plan``: of the night as it is, to start from.

    What cannot be planned at all (nothing that does a stage, nobody there) is a row that says so. Raises BadInput for
    a night that cannot be planned as it is, or a variation of what is not there.
    """
    cases = [(AS_IT_IS, given)]
    cases += [(each.name or said(each, given), varied(given, each)) for each in variations]
    found: list[Measures] = []
    hint = plan
    for number, (name, case) in enumerate(cases):
        if on_step is not None:
            on_step(number + 1, len(cases), name)
        try:
            of = night_of(case)
            attempt = tried(of, thinking, "best", as_planned(of, hint))
        except BadInput as error:
            if not number:
                raise
            found.append(Measures(name=name, fits=False, note=str(error)))
            continue
        made = attempt.plan(made_at)
        if not number and hint is None:
            hint = made
        found.append(measures(name, made, why_not(attempt)))
    return tuple(found)


def why_not(attempt: Attempt) -> str:
    """Why there is no plan, in a sentence; empty where there is one."""
    if attempt.fits:
        return ""
    if attempt.solution.stopped:
        return "stopped before a plan was found"
    if attempt.solution.status == "infeasible":
        return "nothing fits: some dough would have to stand longer than its formula allows"
    return "no plan was found in the time given"
