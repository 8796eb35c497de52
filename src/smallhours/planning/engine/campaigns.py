"""In which states resources must stand for a given plan: the stretches that serve it, if there are any."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from smallhours.planning.engine.change_places import Gap, Room, places
from smallhours.planning.engine.parts import covered
from smallhours.planning.engine.problem import Placed, Problem, Resource, StateChange, StateStretch

Cluster = tuple[int, int, frozenset[str]]


@dataclass(frozen=True)
class Standing:
    """How the resources with states stand, and where the changes that need something lie."""

    stretches: tuple[StateStretch, ...] = ()
    changes: tuple[StateChange, ...] = ()


def standing_for(problem: Problem, placed: Mapping[str, Placed]) -> Standing | None:
    """Stretches with the least time spent in changes that serve ``placed``, and their changes.

    None if no stretches can, or if the changes between those stretches do not find what they need.
    """
    room = Room(problem, placed)
    found: list[StateStretch] = []
    gaps: list[Gap] = []
    for resource in problem.resources:
        if resource.states:
            counts = any(f"held:{resource.id}" in level for level in problem.objective.levels)
            mine = _serve(resource, _clusters(resource, problem, placed), room, counts)
            if mine is None:
                return None
            found.extend(mine)
            gaps.extend(_gaps(resource, mine))
    changes = places(room, gaps)
    return None if changes is None else Standing(tuple(found), changes)


def _gaps(resource: Resource, stretches: list[StateStretch]) -> Iterator[Gap]:
    """Between which stretches of a resource there is a change that needs something."""
    if not resource.change_demands:
        return
    state, free = resource.initial_state, 0
    for stretch in stretches:
        ticks = resource.change_ticks(state, stretch.state)
        if ticks:
            yield Gap(resource, state, stretch.state, free, stretch.start, ticks)
        state, free = stretch.state, stretch.end


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


def _serve(resource: Resource, clusters: list[Cluster], room: Room, counts: bool) -> list[StateStretch] | None:
    """Choose a state for each cluster by dynamic programming over the clusters in order of time.

    ``counts``: standing in a state costs something, so that it ends where it is not needed.
    """
    best: list[dict[str, tuple[int, str | None]]] = []  # per cluster: state -> (ticks of change, state before)
    for i, (start, _, states) in enumerate(clusters):
        options: dict[str, tuple[int, str | None]] = {}
        for state in sorted(states):
            if i == 0:
                first = Gap(resource, resource.initial_state, state, 0, start, _ticks(resource, None, state))
                if _fits(room, first):
                    options[state] = (first.ticks, None)
                continue
            free = clusters[i - 1][1]
            tried = [
                (cost, Gap(resource, before, state, free, start, _ticks(resource, before, state)))
                for before, (cost, _) in best[-1].items()
            ]
            ways = [(cost + gap.ticks, gap.before) for cost, gap in tried if _fits(room, gap)]
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
    return _joined(resource, clusters, chosen[::-1], counts)


def _ticks(resource: Resource, before: str | None, state: str) -> int:
    if before == state:
        return 0
    return resource.change_ticks(resource.initial_state if before is None else before, state)


def _fits(room: Room, gap: Gap) -> bool:
    if not gap.ticks or not gap.resource.change_demands:
        return gap.ticks <= gap.end - gap.start
    return room.earliest(gap) is not None


def _joined(resource: Resource, clusters: list[Cluster], chosen: list[str], counts: bool) -> list[StateStretch]:
    stretches: list[StateStretch] = []
    for (start, end, _), state in zip(clusters, chosen, strict=True):
        again = max(resource.change.get((state, state), 0), 1) if counts and not resource.change_demands else math.inf
        if stretches and stretches[-1].state == state and start - stretches[-1].end < again:
            stretches[-1] = StateStretch(resource.id, state, stretches[-1].start, end)
        else:
            stretches.append(StateStretch(resource.id, state, start, end))
    return stretches
