"""From a question to a constraint model with all its rules and levels."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from smallhours.planning.engine.lags import windows
from smallhours.planning.engine.model import Model
from smallhours.planning.engine.objective import Level, levels
from smallhours.planning.engine.problem import Placed, Problem
from smallhours.planning.engine.rules import RULES


def build(
    problem: Problem,
    stay: Mapping[str, Placed] | None = None,
    least: Mapping[str, int] | None = None,
    scale: int = 1,
    without: Collection[str] = (),
) -> tuple[Model, list[Level]] | None:
    """The model of ``problem`` and its levels; None if windows and lags alone leave some task no place.

    ``least[resource]``: stretches it gets at any rate. ``scale`` multiplies the guess of how many stretches are
    useful. ``without``: ids of rules to leave out.
    """
    reach = windows(problem)
    if reach is None:
        return None
    model = Model(problem, reach, least or {}, scale)
    for name, rule in RULES.items():
        if name not in without:
            rule(model)
    return model, levels(model, stay or {})
