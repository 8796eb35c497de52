"""In which states resources must stand for a given plan: the stretches that serve it, if there are any."""

from __future__ import annotations

from collections.abc import Mapping

from smallhours.planning.engine.parts import covered
from smallhours.planning.engine.problem import Placed, Problem, Resource, StateStretch

Cluster = tuple[int, int, frozenset[str]]


def stretches_for(problem: Problem, placed: Mapping[str, Placed]) -> tuple[StateStretch, ...] | None:
    """Stretches with the least time spent in changes that serve ``placed``; None if no stretches can."""
    found: list[StateStretch] = []
    for resource in problem.resources:
        if resource.states:
            mine = _serve(resource, _clusters(resource, problem, placed))
            if mine is None:
                return None
            found.extend(mine)
    return tuple(found)


def _clusters(resource: Resource, problem: Problem, placed: Mapping[str, Placed]) -> list[Cluster]:
    """Demands that overlap, directly or through others, share one stretch: its ticks and the states all allow."""
    uses: list[Cluster] = []
    for task in problem.tasks:
        if task.id not in placed:
            continue
        where = placed[task.id]
        for demand in next(mode for mode in task.modes if mode.id == where.mode).demands:
            if demand.resource == resource.id and demand.amount > 0:
                start, end = covered(demand.part, where.start, where.end)
                if start < end:
                    uses.append((start, end, demand.states or frozenset(resource.states)))
    merged: list[Cluster] = []
    for start, end, allowed in sorted(uses, key=lambda use: use[:2]):
        if merged and start < merged[-1][1]:
            first, last, states = merged[-1]
            merged[-1] = (first, max(last, end), states & allowed)
        else:
            merged.append((start, end, allowed))
    return merged


def _serve(resource: Resource, clusters: list[Cluster]) -> list[StateStretch] | None:
    """Choose a state for each cluster by dynamic programming over the clusters in order of time."""
    best: list[dict[str, tuple[int, str | None]]] = []  # per cluster: state -> (ticks of change, state before)
    for i, (start, _, states) in enumerate(clusters):
        options: dict[str, tuple[int, str | None]] = {}
        for state in sorted(states):
            if i == 0:
                wait = _first_wait(resource, state)
                if wait <= start:
                    options[state] = (wait, None)
                continue
            gap = start - clusters[i - 1][1]
            ways = [
                (cost + (0 if before == state else resource.change.get((before, state), 0)), before)
                for before, (cost, _) in best[-1].items()
                if before == state or resource.change.get((before, state), 0) <= gap
            ]
            if ways:
                options[state] = min(ways, key=lambda way: way[0])
        if not options:
            return None
        best.append(options)
    if not clusters:
        return []
    standing: str | None = min(best[-1], key=lambda name: best[-1][name][0])
    chosen: list[str] = []
    for options in reversed(best):
        assert standing is not None
        chosen.append(standing)
        standing = options[standing][1]
    return _joined(resource, clusters, chosen[::-1])


def _first_wait(resource: Resource, state: str) -> int:
    if resource.initial_state is not None:
        return resource.change.get((resource.initial_state, state), 0)
    return resource.initial_change.get(state, 0)


def _joined(resource: Resource, clusters: list[Cluster], chosen: list[str]) -> list[StateStretch]:
    stretches: list[StateStretch] = []
    for (start, end, _), state in zip(clusters, chosen, strict=True):
        if stretches and stretches[-1].state == state:
            stretches[-1] = StateStretch(resource.id, state, stretches[-1].start, end)
        else:
            stretches.append(StateStretch(resource.id, state, start, end))
    return stretches
