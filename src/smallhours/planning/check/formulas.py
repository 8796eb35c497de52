"""Formulas: a plan has every stage of every product, in order, where, as hot, as long and with hands as it is written.

How long a dough rests, proofs or chills tonight is the forecast's to say; how long it is mixed, worked on and baked is
the formula's own.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator, Sequence

from smallhours.bakery.formula.document import Formula, Stage, Way
from smallhours.bakery.process import habits
from smallhours.planning.check.case import Case, minutes, seconds
from smallhours.planning.check.violation import Violation
from smallhours.planning.plan import PlanBatch, PlanLot, PlanTask

KIND = "formula"
_OWN_LENGTH = frozenset({"weigh", "mix", "fold", "divide", "sheet", "fill", "roll", "slice", "shape", "pan", "bake",
                         "finish", "pack"})  # fmt: skip
_MOST_TEMPER_FACTOR, _LONGEST_TEMPER_S = 4.0, 12 * 3600.0
_KINDS_OF_PLACE = {
    "mixer": frozenset({"mixer"}),
    "fridge": frozenset({"fridge", "retarder"}),
    "freezer": frozenset({"freezer"}),
    "proofer": frozenset({"proofer"}),
    "oven": frozenset({"deck"}),
}


def formulas(case: Case) -> Iterator[Violation]:
    """Every batch and lot goes through the stages of its formula, each as the formula says."""
    for batch in case.plan.batches:
        formula = _formula(case, batch.formula)
        if formula is None:
            if case.documents.formulas is not None:
                yield Violation(KIND, batch.id, f"is of {batch.formula}, which is not among the formulas")
            continue
        if batch.over_g > 0 and batch.part in {p.id for p in formula.parts} and not formula.part(batch.part).fill_bowl:
            yield Violation(KIND, batch.id, f"is {batch.over_g:g} g too much, and its formula does not fill bowls")
        own = list(case.strands.get(batch.id, ()))
        if not batch.lots or batch.part != formula.main:
            yield from _stages(case, batch.id, own, formula, batch.part, batch, None)
        for lot in batch.lots:
            product = _formula(case, lot.product)
            if product is None:
                yield Violation(KIND, lot.id, f"is {lot.product}, which is not among the formulas")
                continue
            tasks = own + list(case.strands.get(lot.id, ()))
            yield from _stages(case, lot.id, tasks, product, product.main, batch, lot)
            yield from _sizes(case, lot, product)


def _formula(case: Case, name: str) -> Formula | None:
    return (case.documents.formulas or {}).get(name)


def _stages(
    case: Case, of: str, tasks: Sequence[PlanTask], formula: Formula, part: str, batch: PlanBatch, lot: PlanLot | None
) -> Iterator[Violation]:
    wanted = formula.stages_of(part)
    for number, (task, stage) in enumerate(itertools.zip_longest(tasks, wanted), 1):
        if task is None or stage is None or task.stage != stage.key:
            found = "nothing" if task is None else task.stage
            meant = "nothing more" if stage is None else stage.key
            yield Violation(KIND, of, f"its stage {number} is {found}, in {formula.name} it is {meant}")
            return
        if task.kind != stage.kind:
            yield Violation(KIND, task.id, f"is a {task.kind}, in {formula.name} it is a {stage.kind}")
            return
        if task.lot is None and lot is not None and lot is not batch.lots[0]:
            continue  # the dough's own stages once
        pieces = sum(each.pieces for each in batch.lots) if task.lot is None else (lot.pieces if lot else 0)
        yield from _as_written(case, task, stage, pieces)


def _as_written(case: Case, task: PlanTask, stage: Stage, pieces: int) -> Iterator[Violation]:
    main = habits.main_way(stage, pieces)
    way = main if task.way == "main" else next((w for w in stage.instead if w.place == task.way), None)
    if way is None:
        yield Violation(KIND, task.id, f"goes the way {task.way!r}, which the formula does not know")
        return
    yield from _place(case, task, way)
    yield from _tempering(case, task, way)
    yield from _attention(case, task, stage)
    if stage.kind in _OWN_LENGTH:
        yield from _length(case, task, way)
    if stage.kind == "bake":
        yield from _oven(case, task, stage)
    if task.shut_s < habits.shut_s(stage):
        yield Violation(KIND, task.id, f"keeps its oven shut for {minutes(task.shut_s)}, it needs longer for its steam")
    if task.steam != stage.steam:
        yield Violation(KIND, task.id, f"is {'' if task.steam else 'not '}steamed, the formula says otherwise")


def _place(case: Case, task: PlanTask, way: Way) -> Iterator[Violation]:
    resource = case.resources.get(task.place)
    kinds = _KINDS_OF_PLACE.get(way.place)
    if kinds is None:
        one_bench = way.place == "bench" and resource is not None and resource.kind == "bench"
        found = task.place == way.place or one_bench
    elif way.place == "mixer" and task.place == "by-hand":
        found = True
    else:
        found = resource is not None and resource.kind in kinds
    if not found:
        yield Violation(KIND, task.id, f"is done in {task.place}, its formula wants a {way.place}")
    temper_s = _temper_s(task, way)
    for use in task.uses:
        # out of the cold only for its last stretch in the room
        if kinds is not None and use.resource == task.place:
            out_s = seconds(use.end, task.end)
            if out_s > math.ceil(temper_s / case.plan.tick_s) * case.plan.tick_s:
                yield Violation(KIND, task.id, f"leaves {task.place} {minutes(out_s)} before its end, too early")


def _temper_s(task: PlanTask, way: Way) -> float:
    """How long before its end it may come out of the cold: as the formula says, or as it is forecast here."""
    said_s = way.temper_s or 0.0
    if not said_s or task.window.temper_s is None:
        return said_s
    return min(task.window.temper_s, max(_MOST_TEMPER_FACTOR * said_s, _LONGEST_TEMPER_S))


def _tempering(case: Case, task: PlanTask, way: Way) -> Iterator[Violation]:
    """A lot that comes out of the cold to temper stands on a rack meanwhile, where the kitchen has enough of them."""
    lot, rack = case.lots.get(task.lot or ""), case.resources.get("rack")
    if lot is None or rack is None or not way.temper_s or rack.capacity < max(1, lot.tray_places):
        return
    out = max((use.end for use in task.uses if use.resource == task.place), default=task.start)
    there = [u for u in task.uses if u.resource == "rack" and u.start <= out and u.end == task.end]
    if out < task.end and not any(use.amount >= lot.tray_places for use in there):
        yield Violation(KIND, task.id, f"tempers from {case.clock(out)} on without {lot.tray_places} rack places")


def _attention(case: Case, task: PlanTask, stage: Stage) -> Iterator[Violation]:
    wanted = "throughout" if task.place == "by-hand" else habits.attention_of(stage)
    if wanted == "none" or task.attention == "throughout":
        return
    if task.attention != wanted:
        yield Violation(KIND, task.id, f"has hands on it: {task.attention}; the formula says {wanted}")
        return
    start_s, end_s = habits.hands_s(stage)
    if task.hands_start_s < start_s or task.hands_end_s < end_s:
        what = f"{minutes(task.hands_start_s)} and {minutes(task.hands_end_s)} of hands at its ends"
        yield Violation(KIND, task.id, f"has {what}, it needs {minutes(start_s)} and {minutes(end_s)}")


def _length(case: Case, task: PlanTask, way: Way) -> Iterator[Violation]:
    low_s = way.duration_s if way.min_s is None else way.min_s
    high_s = way.duration_s if way.max_s is None else way.max_s
    length_s = seconds(task.start, task.end)
    if length_s < low_s - 1e-6:
        yield Violation(KIND, task.id, f"lasts {minutes(length_s)}, the formula says {minutes(low_s)} or more")
    if length_s >= high_s + case.plan.tick_s:
        yield Violation(KIND, task.id, f"lasts {minutes(length_s)}, the formula says {minutes(high_s)} or less")


def _oven(case: Case, task: PlanTask, stage: Stage) -> Iterator[Violation]:
    wanted_c = stage.set_temp_c or 0.0
    if task.set_temp_c is None or abs(task.set_temp_c - wanted_c) > stage.set_temp_give_k + 1e-9:
        found = "no set temperature" if task.set_temp_c is None else f"{task.set_temp_c:g} °C"
        what = f"is baked at {found}, the formula says {wanted_c:g} °C, {stage.set_temp_give_k:g} °C more or less"
        yield Violation(KIND, task.id, what)
    if stage.oven is not None and task.place in case.kitchen_decks:
        oven, _ = case.kitchen_decks[task.place]
        if oven.kind != stage.oven:
            yield Violation(KIND, task.id, f"is baked in a {oven.kind} oven, the formula wants a {stage.oven} oven")


def _sizes(case: Case, lot: PlanLot, product: Formula) -> Iterator[Violation]:
    """The pieces are as heavy as the formula says, at least, and their pans and tray places hold them."""
    output = product.output
    divided_g = 0.0 if output is None else output.piece_mass_g or 0.0  # what is sold may have a filling in it
    if lot.piece_mass_g < divided_g - 0.1:
        yield Violation(KIND, lot.id, f"has pieces of {lot.piece_mass_g:g} g, the formula says {divided_g:g} g")
    if lot.pan != product.pan:
        yield Violation(KIND, lot.id, f"stands in {lot.pan or 'no pan'}, the formula says {product.pan or 'no pan'}")
    pans = math.ceil(lot.pieces / product.pieces_per_pan)
    if product.pan is not None and lot.pans < pans:
        yield Violation(KIND, lot.id, f"stands in {lot.pans} {product.pan}, its {lot.pieces} pieces need {pans}")
    free = lot.pans * product.pieces_per_pan - lot.pieces if product.pan is not None else 0
    if lot.free_places != max(0, free) and lot.free_places:
        what = f"has room for {lot.free_places} more pieces in its pans, they hold {max(0, free)}"
        yield Violation(KIND, lot.id, what)
    kitchen = case.documents.kitchen
    share = next((p.tray_share for p in kitchen.pans if p.id == product.pan), 1.0) if kitchen else 0.0
    places = math.ceil(pans * share - 1e-9)
    if lot.tray_places < places:
        yield Violation(KIND, lot.id, f"takes {lot.tray_places} tray places, its pans need {places}")


def fed(case: Case) -> Iterator[Violation]:
    """Every part that a batch or its lots take in is made, and says that it goes there."""
    comes: dict[str, set[str]] = {}
    for batch in case.plan.batches:
        for name in batch.feeds:
            comes.setdefault(name, set()).add(batch.part)
        if not batch.feeds and not batch.lots:
            yield Violation(KIND, batch.id, "goes into nothing and is divided into nothing")
    for batch in case.plan.batches:
        wanted = _wanted_by(_formula(case, batch.formula), batch.part, ())
        for lot in batch.lots:
            stages = {task.stage for task in case.strands.get(lot.id, ())}
            wanted |= _wanted_by(_formula(case, lot.product), batch.part, stages)
        for part in sorted(wanted - comes.get(batch.id, set())):
            yield Violation(KIND, batch.id, f"takes in {part}, which nothing of the plan brings")


def _wanted_by(formula: Formula | None, part: str, stages: Iterable[str]) -> set[str]:
    """The parts that come into a part through its lines, and into its pieces in their stages."""
    if formula is None or part not in {each.id for each in formula.parts}:
        return set()
    lines = {line.part for line in formula.part(part).lines if line.part is not None}
    used = {name for stage in formula.stages_of(formula.main) if stage.key in stages for name in stage.uses}
    return lines | (used - {part})


def keeping(case: Case) -> Iterator[Violation]:
    """A preferment, soaker, filling or glaze is ready before it is used, and used while it keeps."""
    for batch in case.plan.batches:
        formula, own = _formula(case, batch.formula), case.strands.get(batch.id, ())
        if formula is None or not own or batch.part not in {part.id for part in formula.parts}:
            continue
        keeps_s = formula.part(batch.part).keeps_s
        for fed in batch.feeds:
            for task in _uses(case, batch, case.batches.get(fed)):
                wait_s = seconds(own[-1].end, task.start)
                if wait_s < 0:
                    yield Violation(KIND, batch.id, f"is ready {minutes(-wait_s)} after {task.id} begins to use it")
                longest_s = math.inf if keeps_s is None else keeps_s + case.plan.tick_s * 0.999
                if wait_s > longest_s and not case.told(task.lot or task.batch):
                    what = f"waits {minutes(wait_s)} for {task.id}, it keeps {minutes(keeps_s or 0.0)}"
                    yield Violation(KIND, batch.id, what)


def _uses(case: Case, batch: PlanBatch, target: PlanBatch | None) -> Sequence[PlanTask]:
    """The stages of a batch, and of its lots of this product, in which a part comes in."""
    if target is None:
        return ()
    own = case.strands.get(target.id, ())
    pairs = [(task, target.formula) for task in own]
    for lot in target.lots:
        if batch.formula in (lot.product, target.formula):
            pairs += [(task, lot.product) for task in case.strands.get(lot.id, ())]
    named = []
    for task, name in pairs:
        formula = _formula(case, name)
        stages = () if formula is None else formula.stages_of(task.part)
        if any(stage.key == task.stage and batch.part in stage.uses for stage in stages):
            named.append(task)
    if named:
        return named
    target_formula = _formula(case, target.formula)
    lines = () if target_formula is None else target_formula.part(target.part).lines
    if batch.part not in {line.part for line in lines}:  # nobody says when it comes in: before the pieces are begun
        taking = [lot for lot in target.lots if batch.formula in (lot.product, target.formula)]
        return [case.strands[lot.id][0] for lot in taking if case.strands.get(lot.id)]
    mixing = [task for task in own if task.kind == "mix"] or list(own)
    return mixing[:1]
