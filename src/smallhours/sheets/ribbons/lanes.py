"""Where each stay lies: lanes from the top down, each with as many lines as stays lie there at once."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from smallhours.planning.plan import Plan
from smallhours.sheets.ribbons.strands import ROLES, Lane, Stay, Strand

_APART = dt.timedelta(minutes=4)


@dataclass(frozen=True)
class PlacedLane:
    """A lane with its place: ``top`` and ``lines`` (y of each line, mm; dough lies on them and rises upwards)."""

    lane: Lane
    top: float
    lines: tuple[float, ...]
    strip: float

    @property
    def foot(self) -> float:
        """y of its lowest line."""
        return self.lines[-1]


@dataclass(frozen=True)
class Layout:
    """Lanes in place and the line of each stay (strand, number of the stay)."""

    lanes: tuple[PlacedLane, ...]
    line_of: dict[tuple[str, int], float]
    foot: float


def line_numbers(strands: Sequence[Strand]) -> tuple[dict[tuple[str, int], int], dict[Lane, int]]:
    """For each stay the number of its line in its lane, and for each lane how many lines it needs.

    First fit by start: two stays that overlap in time never share a line.
    """
    stays: dict[Lane, list[tuple[Stay, str, int]]] = {}
    for strand in strands:
        for number, stay in enumerate(strand.stays):
            stays.setdefault(stay.lane, []).append((stay, strand.of, number))
    numbers: dict[tuple[str, int], int] = {}
    needed: dict[Lane, int] = {}
    for lane, found in stays.items():
        free: list[dt.datetime] = []
        for stay, of, number in sorted(found, key=lambda item: (item[0].start, item[0].end, item[1])):
            line = next((i for i, until in enumerate(free) if until <= stay.start), len(free))
            if line == len(free):
                free.append(stay.end)
            free[line] = stay.end + _APART
            numbers[of, number] = line
        needed[lane] = len(free)
    return numbers, needed


def ordered(lanes: Sequence[Lane], plan: Plan) -> list[Lane]:
    """Lanes by role, within a role in the order of the plan's equipment."""
    place = {resource.id: number for number, resource in enumerate(plan.resources)}
    return sorted(lanes, key=lambda lane: (ROLES.index(lane.role), place.get(lane.key, len(place)), lane.key))


@dataclass(frozen=True)
class Measures:
    """How much room things take, mm: ``words`` above a ribbon, ``thick`` for a rise of 1, ``strip`` for the set
    temperatures of an oven, ``apart`` more between roles, ``own`` between lanes.
    """

    words: float
    thick: float
    strip: float = 3.4
    apart: float = 1.6
    own: float = 0.6


def lay_out(strands: Sequence[Strand], plan: Plan, top: float, measures: Measures) -> Layout:
    """All lanes from ``top`` down; each line gets the height that the most risen dough on it needs."""
    numbers, needed = line_numbers(strands)
    used = set(needed) | {lane for lane in _oven_lanes(plan) if lane.key not in {k.key for k in needed}}
    highest = _highest(strands, numbers)
    placed: list[PlacedLane] = []
    y, role = top, None
    for lane in ordered(list(used), plan):
        if role is not None:
            y += measures.apart if lane.role != role else measures.own
        role = lane.role
        head = measures.strip if lane.role == "ovens" else 0.0
        lines, foot = [], y + head
        for i in range(needed.get(lane, 1)):
            foot += measures.words + measures.thick * highest.get((lane, i), 1.0)
            lines.append(foot)
        placed.append(PlacedLane(lane, y, tuple(lines), head))
        y = foot
    where = {item.lane: item for item in placed}
    line_of = {
        (strand.of, number): where[stay.lane].lines[numbers[strand.of, number]]
        for strand in strands
        for number, stay in enumerate(strand.stays)
    }
    return Layout(tuple(placed), line_of, y)


def _highest(strands: Sequence[Strand], numbers: dict[tuple[str, int], int]) -> dict[tuple[Lane, int], float]:
    highest: dict[tuple[Lane, int], float] = {}
    for strand in strands:
        for number, stay in enumerate(strand.stays):
            key = (stay.lane, numbers[strand.of, number])
            highest[key] = max(highest.get(key, 1.0), strand.most_risen(stay.start, stay.end))
    return highest


def _oven_lanes(plan: Plan) -> list[Lane]:
    """Decks that are heated tonight, even if the plan bakes nothing in them."""
    names = {resource.id: resource.name for resource in plan.resources}
    return [Lane(stretch.deck, names.get(stretch.deck, stretch.deck), "ovens") for stretch in plan.ovens]
