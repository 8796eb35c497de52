"""What a baker should know of a plan that keeps every rule: pieces too cold for the oven, bakes ready too long before.

The limit of 16 °C in the core is the trade's (IREKS Compendium of Baking Technology, 6.3: retarded proof); the course
gives a mean temperature, which in a warming piece is a little above its core.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping

from smallhours.bakery.formula.document import Formula
from smallhours.bakery.quantity import write_duration
from smallhours.planning.plan import Plan

COLDEST_INTO_OVEN_C = 16.0
_COLD_KINDS = frozenset(("fridge", "retarder", "freezer"))


def remarks(plan: Plan, formulas: Mapping[str, Formula]) -> tuple[str, ...]:
    """All remarks on a plan, one sentence each."""
    return (*cold_pieces(plan), *ready_too_early(plan, formulas), *doors(plan))


def doors(plan: Plan) -> Iterator[str]:
    """A sentence for each cold place of which the kitchen limits how often it is opened: its busiest hour."""
    for place in plan.resources:
        if place.most_openings_per_h is not None:
            count, at = busiest_hour(plan, place.id)
            when = f", from {at.astimezone(plan.zone()):%a %H:%M} on" if at is not None else ""
            yield (
                f"{place.name}: in no hour is something put in or taken out more than {place.most_openings_per_h} "
                f"times, as the kitchen wants it; in its busiest hour {count} times{when}"
            )


def busiest_hour(plan: Plan, place: str) -> tuple[int, dt.datetime | None]:
    """How often something goes into a place or comes out in the hour in which that is most often, and its start."""
    uses = [use for task in plan.tasks for use in task.uses if use.resource == place]
    at = sorted(instant for use in uses for instant in (use.start, use.end))
    hour = dt.timedelta(hours=1)
    counts = [(sum(first <= each < first + hour for each in at), first) for first in at]
    return max(counts, key=lambda count: (count[0], -count[1].timestamp()), default=(0, None))


def ready_too_early(plan: Plan, formulas: Mapping[str, Formula]) -> Iterator[str]:
    """A sentence for each product that is ready longer before it is due than its formula wants it to be old."""
    waits: dict[str, float] = {}
    for batch in plan.batches:
        for lot in batch.lots:
            fresh_s = formulas[lot.product].fresh_s
            if fresh_s is not None and lot.ready is not None:
                wait_s = (lot.due - lot.ready).total_seconds()
                if wait_s > fresh_s:
                    waits[lot.product] = max(wait_s, waits.get(lot.product, 0.0))
    for product, wait_s in waits.items():
        formula = formulas[product]
        yield (
            f"{formula.name} is ready {write_duration(wait_s)} before it is due; its formula wants it sold within "
            f"{write_duration(formula.fresh_s or 0.0)}"
        )


def cold_pieces(plan: Plan) -> Iterator[str]:
    """A sentence for each product of which a lot comes from the cold and is under the limit when it is loaded."""
    cold = {resource.id for resource in plan.resources if resource.kind in _COLD_KINDS}
    courses = {course.of: course for course in plan.courses}
    coldest: dict[str, tuple[float, str]] = {}
    for batch in plan.batches:
        for lot in batch.lots:
            tasks = [task for task in plan.tasks if task.lot == lot.id]
            bake = next((task for task in tasks if task.kind == "bake"), None)
            retarded = any(task.kind in ("proof", "retard") and task.place in cold for task in tasks)
            if bake is None or not retarded or lot.id not in courses:
                continue
            before = [point.temp_c for point in courses[lot.id].points if point.at <= bake.start]
            if before and before[-1] < min(COLDEST_INTO_OVEN_C, coldest.get(lot.name, (COLDEST_INTO_OVEN_C, ""))[0]):
                coldest[lot.name] = (before[-1], lot.id)
    for name, (temp_c, lot_id) in coldest.items():
        yield (
            f"{name} ({lot_id}) goes into the oven at about {temp_c:.0f} °C; the trade wants more than "
            f"{COLDEST_INTO_OVEN_C:g} °C after a night in the cold: take it out earlier, or bake it a little longer"
        )
