"""How warm and how risen each dough is through the planned night: the data of the ribbons."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence

from smallhours.bakery.formula.document import Formula, Place, Stage
from smallhours.bakery.formula.leaven import leaven_of, raises
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.orders.batches import Batch, BatchPlan, LotNeed
from smallhours.bakery.pantry import Pantry
from smallhours.forecast.assumed import assumed_of
from smallhours.forecast.course import CoursePoint, CourseStep, course
from smallhours.forecast.place_temp import mean_room_temp_c, moving_air, place_temp_c
from smallhours.forecast.sizes import Size, bulk_size, chilled_bulk_size, piece_size
from smallhours.planning import plan as p

_DOUGHS = ("dough", "preferment", "batter")
_COLD: tuple[Place, ...] = ("fridge", "freezer")
_NO_COURSE = p.ASIDE | {"weigh"}


def courses(
    plan: p.Plan, made: BatchPlan, formulas: Mapping[str, Formula], kitchen: Kitchen, pantry: Pantry
) -> tuple[p.Course, ...]:
    """The course of every dough: of its batch until it is divided, then of each lot."""
    drawn = _Courses(plan, formulas, kitchen, pantry)
    found: list[p.Course] = []
    for batch in made.batches:
        if batch.kind in _DOUGHS:
            found += drawn.of_batch(batch)
    return tuple(found)


class _Courses:
    """Courses from the tasks of one plan."""

    def __init__(self, plan: p.Plan, formulas: Mapping[str, Formula], kitchen: Kitchen, pantry: Pantry) -> None:
        self.plan, self.formulas, self.kitchen, self.pantry = plan, formulas, kitchen, pantry
        self.places = _places(kitchen)

    def of_batch(self, batch: Batch) -> Iterator[p.Course]:
        """The batch's own course, then those of its lots, which go on from it."""
        tasks = [t for t in self.plan.tasks if t.batch == batch.id and t.lot is None and t.kind not in _NO_COURSE]
        target_c = batch.formula.part(batch.part_id).target_temp_c
        temp_c = self._room_c(self.plan.horizon_start) if target_c is None else target_c
        whole = self._points(tasks, batch, None, temp_c, 1.0)
        if whole:
            yield self._course(batch.id, whole)
        for lot in batch.lots:
            mine = [t for t in self.plan.tasks if t.lot == lot.id and t.kind not in p.ASIDE]
            if mine:
                start = _at(whole, self._seconds(mine[0].start)) or CoursePoint(0.0, temp_c, 1.0)
                points = self._points(mine, batch, lot, start.temp_c, start.rise)
                yield self._course(lot.id, points)

    def _points(
        self, tasks: Sequence[p.PlanTask], batch: Batch, lot: LotNeed | None, temp_c: float, rise: float
    ) -> list[CoursePoint]:
        steps = [step for task in sorted(tasks, key=lambda t: t.start) for step in self._steps(task, batch, lot)]
        if not steps:
            return []
        return course(
            steps,
            start_temp_c=temp_c,
            start_rise=rise,
            room_c=self._room_c(tasks[0].start),
            assumed=assumed_of(leaven_of(batch.amounts, self.pantry, batch.part_id)),
            living=any(raises(self.pantry.find(key)) for key in batch.amounts.ingredients(batch.part_id)),
        )

    def _steps(self, task: p.PlanTask, batch: Batch, lot: LotNeed | None) -> Iterator[CourseStep]:
        formula = self.formulas[lot.product] if lot else batch.formula
        stage = next(s for s in formula.stages_of(task.part) if s.key == task.stage)
        place = self.places.get(task.place, "room")
        warm_s = self._out_s(task)
        length_s = (task.end - task.start).total_seconds() - warm_s
        yield self._step(
            task, stage, place, self._seconds(task.start), length_s, self._size(formula, batch, lot, place)
        )
        if warm_s:  # the last stretch of a night in the cold, out in the room
            size = self._size(formula, batch, lot, "room")
            tempering = stage.model_copy(update={"kind": "temper", "rise": None})
            yield self._step(task, tempering, "room", self._seconds(task.start) + length_s, warm_s, size)

    def _out_s(self, task: p.PlanTask) -> float:
        """Seconds at the end of a task in which its dough is no longer in the cold."""
        if self.places.get(task.place) not in _COLD:
            return 0.0
        cold = [use for use in task.uses if use.resource == task.place]
        return (task.end - max(use.end for use in cold)).total_seconds() if cold else 0.0

    def _step(
        self, task: p.PlanTask, stage: Stage, place: Place, start_s: float, length_s: float, size: Size
    ) -> CourseStep:
        if place == "oven":
            air_c = task.set_temp_c or 200.0
        elif place in (*_COLD, "proofer"):
            air_c = place_temp_c(self.kitchen, place, task.place)
        else:
            air_c = mean_room_temp_c(self.kitchen, task.start, task.end)
        fan = place in _COLD and moving_air(self.kitchen, place, task.place)
        way = next((way for way in stage.instead if way.place == task.way), None)
        return CourseStep(stage, place, start_s, length_s, air_c, size, fan, way=way)

    def _size(self, formula: Formula, batch: Batch, lot: LotNeed | None, place: Place) -> Size:
        if lot is not None:
            return piece_size(formula, lot.main_mass_g / lot.pieces, self.kitchen)
        return chilled_bulk_size(batch.mass_g, self.kitchen) if place in _COLD else bulk_size(batch.mass_g)

    def _room_c(self, at: dt.datetime) -> float:
        return mean_room_temp_c(self.kitchen, at, at)

    def _seconds(self, at: dt.datetime) -> float:
        return (at - self.plan.horizon_start).total_seconds()

    def _course(self, of: str, points: Sequence[CoursePoint]) -> p.Course:
        start = self.plan.horizon_start
        return p.Course(
            of=of,
            points=tuple(
                p.CoursePoint(
                    at=start + dt.timedelta(seconds=round(point.t_s, 1)),
                    temp_c=round(point.temp_c, 2),
                    rise=round(point.rise, 3),
                )
                for point in points
            ),
        )


def _places(kitchen: Kitchen) -> dict[str, Place]:
    """The kind of place each piece of equipment is."""
    places: dict[str, Place] = {"bench": "bench", "rack": "rack", "room": "room"}
    places |= {mixer.id: "mixer" for mixer in kitchen.mixers}
    places |= {cold.id: "freezer" if cold.kind == "freezer" else "fridge" for cold in kitchen.cold}
    places |= {proofer.id: "proofer" for proofer in kitchen.proofers}
    places |= {f"{oven.id}.{deck.id}": "oven" for oven in kitchen.ovens for deck in oven.decks}
    return places


def _at(points: Sequence[CoursePoint], t_s: float) -> CoursePoint | None:
    """A course at a time: the last point up to it."""
    before = [point for point in points if point.t_s <= t_s + 1e-6]
    return before[-1] if before else (points[0] if points else None)
