"""From a question to a constraint model with all its rules and levels."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from smallhours.planning.engine.lags import windows
from smallhours.planning.engine.model import Model
from smallhours.planning.engine.objective import Level, levels
from smallhours.planning.engine.problem import Placed, Problem
from smallhours.planning.engine.rules import RULES

ALWAYS_WHOLE = 8  # up to so many needs, a resource with states gets a stretch for each


def build(
    problem: Problem,
    stay: Mapping[str, Placed] | None = None,
    least: Mapping[str, int] | None = None,
    scale: int = 1,
    without: Collection[str] = (),
) -> tuple[Model, list[Level]] | None:
    """The model of ``problem`` and its levels; None if windows and lags alone leave some task no place.

    ``least[resource]``: stretches it gets at any rate. ``scale`` multiplies the guess of how many stretches are
    useful (see ``stretch_limits``). ``without``: ids of rules to leave out.
    """
    reach = windows(problem)
    if reach is None:
        return None
    limits = stretch_limits(problem, scale)
    for resource, count in (least or {}).items():
        limits[resource] = max(limits.get(resource, 0), count)
    model = Model(problem, reach, limits)
    for name, rule in RULES.items():
        if name not in without:
            rule(model)
    return model, levels(model, stay or {})


def stretch_limits(problem: Problem, scale: int = 1) -> dict[str, int]:
    """How many stretches each resource with states is given.

    As many as it has needs is always enough, but makes the model large; beyond a few needs we guess two visits
    to each state that is asked for, and at least ``ALWAYS_WHOLE``, times ``scale``.
    """
    limits = {}
    for resource in problem.resources:
        if not resource.states:
            continue
        asked = [
            demand.states or frozenset(resource.states)
            for task in problem.tasks
            for demand in {d for mode in task.modes for d in mode.demands}
            if demand.resource == resource.id
        ]
        distinct = {state for states in asked for state in states}
        limits[resource.id] = min(len(asked), scale * max(ALWAYS_WHOLE, 2 * min(len(distinct), len(set(asked))) + 2))
    return limits
