"""From a plan to strands: one dough or lot, the stays it makes on equipment, its temperature and rise in between."""

from __future__ import annotations

import datetime as dt
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from smallhours.planning.plan import ASIDE, CoursePoint, Plan, PlanBatch, PlanTask

# what a lane is made of, from the top of the picture to its foot: the dough flows downwards through the night
ROLES = ("mixers", "by-hand", "benches", "cold", "warm", "ovens", "racks", "other")
_ROLE_OF = {
    "mixer": "mixers", "bench": "benches", "fridge": "cold", "retarder": "cold", "freezer": "cold", "cold": "cold",
    "proofer": "warm", "deck": "ovens", "oven": "ovens", "rack": "warm", "room": "warm",
}  # fmt: skip
_AFTER_OVEN = ("cool", "finish", "pack")
_HELD_FIRST = ("ovens", "mixers", "cold", "warm", "benches", "by-hand", "other")


@dataclass(frozen=True)
class Lane:
    """Where dough stays: a piece of equipment (or the room) in one of its roles."""

    key: str
    name: str
    role: str


@dataclass(frozen=True)
class Stay:
    """Tasks of one strand in a row on one lane."""

    lane: Lane
    tasks: tuple[PlanTask, ...]

    @property
    def start(self) -> dt.datetime:
        """When it comes there."""
        return self.tasks[0].start

    @property
    def end(self) -> dt.datetime:
        """When it leaves."""
        return self.tasks[-1].end


@dataclass(frozen=True)
class Strand:
    """One ribbon: a batch until it is divided, or a lot from then on. ``mark``: its short name in the picture."""

    of: str
    mark: str
    name: str
    stays: tuple[Stay, ...]
    points: tuple[CoursePoint, ...]
    parent: str | None = None
    late_s: float = 0.0
    _times: tuple[dt.datetime, ...] = field(default=(), repr=False)

    @property
    def start(self) -> dt.datetime:
        """When its first stay begins."""
        return self.stays[0].start

    @property
    def end(self) -> dt.datetime:
        """When its last stay ends."""
        return self.stays[-1].end

    def rise(self, at: dt.datetime) -> float:
        """Volume over the volume after mixing; 1 where the plan says nothing."""
        return self._between(at, "rise") if self.points else 1.0

    def temp_c(self, at: dt.datetime) -> float | None:
        """Mean temperature, or None where the plan says nothing."""
        return self._between(at, "temp_c") if self.points else None

    def rises(self, start: dt.datetime, end: dt.datetime) -> tuple[float, float]:
        """The least and the greatest rise from start to end."""
        found = [self.rise(start), self.rise(end), *(p.rise for p in self.points if start < p.at < end)]
        return min(found), max(found)

    def _between(self, at: dt.datetime, what: str) -> float:
        after = bisect_right(self._times, at)
        if after == 0:
            return float(getattr(self.points[0], what))
        if after == len(self.points):
            return float(getattr(self.points[-1], what))
        left, right = self.points[after - 1], self.points[after]
        share = (at - left.at) / (right.at - left.at)
        low, high = float(getattr(left, what)), float(getattr(right, what))
        return low + share * (high - low)


def mark_of(number: int) -> str:
    """A, B .. Z, AA, AB ..: the short name of the batch of that number (0 first)."""
    letters = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def strands_of(plan: Plan) -> tuple[Strand, ...]:
    """Every ribbon of a plan, batches in order of their first task, each followed by its lots."""
    tasks: dict[str, list[PlanTask]] = {}
    for task in sorted(plan.tasks, key=lambda t: (t.start, t.end, t.id)):
        if task.kind not in ASIDE and task.end > task.start:
            tasks.setdefault(task.lot or task.batch, []).append(task)
    first = {of: found[0].start for of, found in tasks.items()}
    far = plan.horizon_end
    order = sorted(plan.batches, key=lambda b: (min([first[o] for o in _own(b) if o in first], default=far), b.id))
    lanes = _Lanes(plan)
    courses = {course.of: course.points for course in plan.courses}
    late = {share.lot: order.late_s for order in plan.orders for share in order.lots if order.late_s > 0}
    strands = []
    for number, batch in enumerate(order):
        mark = mark_of(number)
        if batch.id in tasks:
            strands.append(_strand(batch.id, mark, batch.name, tasks[batch.id], lanes, courses.get(batch.id, ()), None))
        for n, lot in enumerate((lot for lot in batch.lots if lot.id in tasks), 1):
            own = f"{mark}{n}" if len(batch.lots) > 1 or batch.id in tasks else mark
            points = courses.get(lot.id, ())
            strands.append(
                _strand(lot.id, own, lot.name, tasks[lot.id], lanes, points, batch.id, late.get(lot.id, 0.0))
            )
    return tuple(strands)


def within(strands: Sequence[Strand], start: dt.datetime, end: dt.datetime) -> tuple[Strand, ...]:
    """The strands that are somewhere between two instants, each with its stays of that time only."""
    found = []
    for strand in strands:
        stays = tuple(stay for stay in strand.stays if stay.end > start and stay.start < end)
        if stays:
            found.append(replace(strand, stays=stays))
    return tuple(found)


def _own(batch: PlanBatch) -> list[str]:
    return [batch.id, *(lot.id for lot in batch.lots)]


def _strand(
    of: str, mark: str, name: str, tasks: Sequence[PlanTask], lanes: _Lanes, points: Sequence[CoursePoint],
    parent: str | None, late_s: float = 0.0,
) -> Strand:  # fmt: skip
    stays: list[Stay] = []
    baked = False
    for task in tasks:
        baked = baked or task.kind == "bake"
        lane = lanes.of(task, baked and task.kind in _AFTER_OVEN)
        if stays and stays[-1].lane == lane and task.start - stays[-1].end <= dt.timedelta(minutes=10):
            stays[-1] = Stay(lane, (*stays[-1].tasks, task))
        else:
            stays.append(Stay(lane, (task,)))
    ordered = tuple(sorted(points, key=lambda point: point.at))
    return Strand(of, mark, name, tuple(stays), ordered, parent, late_s, tuple(point.at for point in ordered))


class _Lanes:
    """Finds the lane of a task."""

    def __init__(self, plan: Plan) -> None:
        self._resources = {resource.id: resource for resource in plan.resources}

    def of(self, task: PlanTask, cooling: bool) -> Lane:
        held = [use.resource for use in task.uses if self._role(use.resource) is not None]
        if self._role(task.place) is not None:
            held.insert(0, task.place)
        if cooling and any(self._role(i) in ("warm", None) for i in held or [""]):
            held = [i for i in held if self._role(i) == "warm"]
            name = self._resources[held[0]].name if held and held[0] in self._resources else ""
            return Lane(f"cooling:{held[0] if held else 'room'}", name, "racks")
        if held:
            best = held[0] if task.place == held[0] else min(held, key=lambda i: _HELD_FIRST.index(self._role(i) or ""))
            name = self._resources[best].name if best in self._resources else ""
            return Lane(best, name, self._role(best) or "other")
        role = _ROLE_OF.get(task.place, "other")
        return Lane(task.place, "", "by-hand" if role == "mixers" else role)

    def _role(self, resource_id: str) -> str | None:
        resource = self._resources.get(resource_id)
        if resource is None or resource.kind in ("pan", "people"):
            return None
        return _ROLE_OF.get(resource.kind, "other")
