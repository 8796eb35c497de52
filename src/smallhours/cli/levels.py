"""What a plan costs, level by level, in words."""

from __future__ import annotations

from collections.abc import Iterator

from smallhours.planning.plan import ObjectiveLevel, Plan


def level_lines(plan: Plan) -> Iterator[str]:
    """One line for each level of the objective, in the order in which they came first.

    A bound is only told where it says something: that no plan at all can be under it.
    """
    for level in plan.objective:
        said = _said(level, plan.tick_s)
        if said:
            yield f"{level.name}: {said}"


def _said(level: ObjectiveLevel, tick_s: int) -> str:
    def of(kind: str) -> float:
        return sum(value for name, value in level.terms.items() if name.partition(":")[0] == kind) * tick_s / 60.0

    match level.name:
        case "on-time":
            return f"{of('late'):.0f} min late in all{_proven(level)}"
        case "hours":
            least = sum(value for name, value in level.least.items() if name.startswith("hours:")) * tick_s / 60.0
            known = f" (the work alone: {hours(least)})" if least else ""
            return f"people are needed for {hours(of('hours'))}{known}{_proven(level)}"
        case "freshness":
            return f"{of('early'):.0f} min ready too early, more where it stales sooner{_proven(level)}"
        case "lengths":
            steps = sum(value for name, value in level.terms.items() if name == "mode")
            off = f"stages {of('deviation'):.0f} min off the lengths wanted"
            return f"{off}, {steps:.0f} steps down what may be done instead{_proven(level)}"
        case "oven":
            least = level.bound * tick_s / 60.0
            cleaning = f", {of('changed'):.0f} min of cleaning in between" if of("changed") else ""
            known = f" (no plan under {hours(least)})" if least and not of("changed") else ""
            return f"decks stand hot for {hours(of('held'))}{known}{cleaning}{_proven(level)}"
    return ""


def _proven(level: ObjectiveLevel) -> str:
    return "; no plan has less" if level.proven and level.value else ""


def hours(minutes: float) -> str:
    """Minutes as hours and minutes.

    >>> hours(75.0), hours(40.0)
    ('1 h 15 min', '40 min')
    """
    whole = round(minutes)
    return f"{whole // 60} h {whole % 60:02d} min" if whole >= 60 else f"{whole} min"
