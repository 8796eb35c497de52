"""Where each stay lies: lanes from the top down, each with as many lines as stays lie there at once."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from smallhours.planning.plan import OvenStretch, Plan
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
    """How much room things take, mm: ``letters`` is the size of words, ``thick`` a rise of 1, ``strip`` holds the set
    temperatures of an oven, ``apart`` lies between roles, ``own`` between lanes.

    ``inside``: words stand inside ribbons that are thick enough for them, to save height.
    """

    letters: float
    thick: float
    inside: bool = False
    strip: float = 3.4
    apart: float = 1.6
    own: float = 0.6

    def holds_words(self, least_rise: float) -> bool:
        """Whether a ribbon that never rises less is thick enough to carry its words inside."""
        return self.inside and self.thick * least_rise >= 0.95 * self.letters

    def line_height(self, least_rise: float, most_rise: float) -> float:
        """Height from one line to the next for a ribbon with its words."""
        return self.thick * most_rise + (0.9 if self.holds_words(least_rise) else self.letters + 1.1)


@dataclass(frozen=True)
class Packing:
    """Which stay shares which line, and the rises that decide how high each line must be."""

    strands: tuple[Strand, ...]
    numbers: dict[tuple[str, int], int]
    lanes: tuple[tuple[Lane, int], ...]
    rises: dict[tuple[Lane, int], tuple[tuple[float, float], ...]]


def pack(strands: Sequence[Strand], plan: Plan, ovens: Sequence[OvenStretch]) -> Packing:
    """Lanes in order with their number of lines. A deck has its lane if dough stays in it or ``ovens`` names it."""
    numbers, needed = line_numbers(strands)
    for lane in _hot(plan, ovens):
        if lane.key not in {k.key for k in needed}:
            needed[lane] = 1
    rises: dict[tuple[Lane, int], tuple[tuple[float, float], ...]] = {}
    for strand in strands:
        for number, stay in enumerate(strand.stays):
            key = (stay.lane, numbers[strand.of, number])
            rises[key] = (*rises.get(key, ()), strand.rises(stay.start, stay.end))
    lanes = tuple((lane, needed[lane]) for lane in ordered(list(needed), plan))
    return Packing(tuple(strands), numbers, lanes, rises)


def lay_out(packing: Packing, top: float, measures: Measures) -> Layout:
    """All lanes from ``top`` down; each line gets the height that the dough and the words on it need."""
    placed: list[PlacedLane] = []
    y, role = top, None
    for lane, count in packing.lanes:
        if role is not None:
            y += measures.apart if lane.role != role else measures.own
        role = lane.role
        head = measures.strip if lane.role == "ovens" else 0.0
        lines, foot = [], y + head
        for i in range(count):
            foot += max(measures.line_height(*rise) for rise in packing.rises.get((lane, i), ((1.0, 1.0),)))
            lines.append(foot)
        placed.append(PlacedLane(lane, y, tuple(lines), head))
        y = foot
    where = {item.lane: item for item in placed}
    line_of = {
        (strand.of, number): where[stay.lane].lines[packing.numbers[strand.of, number]]
        for strand in packing.strands
        for number, stay in enumerate(strand.stays)
    }
    return Layout(tuple(placed), line_of, y)


def _hot(plan: Plan, ovens: Sequence[OvenStretch]) -> list[Lane]:
    names = {resource.id: resource.name for resource in plan.resources}
    return [Lane(stretch.deck, names.get(stretch.deck, stretch.deck), "ovens") for stretch in ovens]
