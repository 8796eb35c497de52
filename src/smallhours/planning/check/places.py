"""Places: a task holds the equipment it is done in, as much of it as it fills; pans are held from panning to cold."""

from __future__ import annotations

import math
from collections.abc import Iterator

from smallhours.planning.check.case import Case, minutes, seconds
from smallhours.planning.check.violation import Violation
from smallhours.planning.plan import PANS, PlanLot, PlanTask, Use

KIND = "place"
BENCHES = "bench"  # all of them together
_NOT_IN_THE_OVEN = ("basket", "board")
_BY_TRAY = frozenset({"deck", "proofer", "fridge", "retarder", "freezer", "rack"})
_COLD = frozenset({"fridge", "retarder", "freezer"})
_FROM_PANNING = (("pan",), ("proof", "retard"), ("bake",))
_MASS_STEP_G = 0.1  # masses in a plan are rounded to this


def places(case: Case) -> Iterator[Violation]:
    """Whatever is done in a mixer, on a bench, in a cold place, proofer, deck or rack takes its place there."""
    for task in case.plan.tasks:
        for needed in _needed(case, task):
            uses = [use for use in task.uses if use.resource == needed]
            if not uses:
                yield Violation(KIND, task.id, f"is done in {task.place} and takes no place in {needed}")
            for use in uses:
                yield from _use(case, task, use)


def _needed(case: Case, task: PlanTask) -> tuple[str, ...]:
    """The resources in which a task must have a place; none where nothing is counted."""
    here = case.resources.get(task.place)
    if task.place in ("by-hand", BENCHES) or (here is not None and here.kind == "bench"):
        return tuple(name for name in dict.fromkeys((BENCHES, task.place)) if name in case.resources)
    lot = case.lots.get(task.lot or "")
    if task.place in ("room", "rack"):
        stands = lot is not None and (task.place == "rack" or lot.pans > 0) and task.kind not in PANS
        return ("rack",) if stands and "rack" in case.resources else ()
    return (task.place,) if here is not None else ()


def _use(case: Case, task: PlanTask, use: Use) -> Iterator[Violation]:
    kind = case.resources[use.resource].kind
    least = _trays(case, task) if kind in _BY_TRAY else 1
    if use.amount < least:
        yield Violation(KIND, task.id, f"takes {use.amount} of {use.resource}, it fills {least}")
    if use.start != task.start or (use.end != task.end and kind not in _COLD):
        yield Violation(KIND, task.id, f"is not in {use.resource} from its start to its end")


def _trays(case: Case, task: PlanTask) -> int:
    lot, batch, kitchen = case.lots.get(task.lot or ""), case.batches.get(task.batch), case.documents.kitchen
    if lot is not None:
        return max(1, lot.tray_places)
    if batch is not None and kitchen is not None:
        return max(1, math.ceil((batch.mass_g - _MASS_STEP_G) / kitchen.slab_mass_g))
    return 1


def pans(case: Case) -> Iterator[Violation]:
    """A lot holds its pans from panning to the end of the bake, and they are not free until they have cooled."""
    for batch in case.plan.batches:
        for lot in batch.lots:
            if lot.pan is not None and lot.pan in case.resources and case.strands.get(lot.id):
                yield from _held(case, lot, case.strands[lot.id])
                yield from _cooled(case, lot)


def _held(case: Case, lot: PlanLot, stages: list[PlanTask]) -> Iterator[Violation]:
    first, last = _span(case, lot, stages)
    for index, task in enumerate(stages):
        here = [use for use in task.uses if use.resource == lot.pan]
        if not first <= index <= last:
            continue
        if not here:
            yield Violation(KIND, task.id, f"stands in no {lot.pan}, though its lot is in them before and after")
        for use in here:
            if use.amount != lot.pans:
                yield Violation(KIND, task.id, f"takes {use.amount} of {lot.pan}, its lot stands in {lot.pans}")
            if (use.start, use.end) != (task.start, task.end):
                yield Violation(KIND, task.id, f"does not hold its {lot.pan} from its start to its end")


def _span(case: Case, lot: PlanLot, stages: list[PlanTask]) -> tuple[int, int]:
    """The first and the last stage in which a lot stands in its pans."""
    kinds = [task.kind for task in stages]
    first = next((i for some in _FROM_PANNING for i, kind in enumerate(kinds) if kind in some), len(stages))
    baked = next((i for i, kind in enumerate(kinds) if kind == "bake"), len(stages) - 1)
    pan = _pan_kind(case, lot)
    if pan is None:  # a basket stays outside the oven, and the plan does not say what is one
        held = [i for i, task in enumerate(stages) if any(use.resource == lot.pan for use in task.uses)]
        baked = baked if baked in held else baked - 1
    elif pan in _NOT_IN_THE_OVEN:
        baked -= 1
    return first, baked


def _pan_kind(case: Case, lot: PlanLot) -> str | None:
    kitchen = case.documents.kitchen
    return next((pan.kind for pan in kitchen.pans if pan.id == lot.pan), None) if kitchen else None


def _cooled(case: Case, lot: PlanLot) -> Iterator[Violation]:
    kitchen = case.documents.kitchen
    pan = next((pan for pan in kitchen.pans if pan.id == lot.pan), None) if kitchen else None
    if pan is None or not pan.cool_s:
        return
    for bake in case.strands[lot.id]:
        if bake.kind != "bake" or not any(use.resource == pan.id for use in bake.uses):
            continue
        after = [
            use
            for task in case.plan.tasks
            if task.lot == lot.id and task.start == bake.end and task.kind == "pans-cool"
            for use in task.uses
            if use.resource == pan.id and use.start == bake.end and use.amount == lot.pans
        ]
        longest_s = max((seconds(use.start, use.end) for use in after), default=0.0)
        if longest_s < pan.cool_s:
            yield Violation(
                KIND, bake.id, f"its {pan.id} cool for {minutes(longest_s)}, they need {minutes(pan.cool_s)}"
            )
