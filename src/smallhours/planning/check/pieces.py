"""Pieces: every piece that was ordered is in a lot, every piece of a lot is for an order, and its dough is enough."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from smallhours.planning.check.case import Case
from smallhours.planning.check.violation import Violation
from smallhours.planning.plan import PlanBatch

KIND = "pieces"
_MASS_STEP_G = 0.1  # masses in a plan are rounded to this


def ordered(case: Case) -> Iterator[Violation]:
    """Orders and lots cover one another exactly."""
    given: Counter[str] = Counter()
    for order in case.plan.orders:
        who = f"{order.customer}'s {order.product}"
        if order.pieces < 1:
            yield Violation(KIND, who, f"is an order for {order.pieces}")
        found = sum(share.pieces for share in order.lots)
        if found != order.pieces:
            yield Violation(KIND, who, f"{order.pieces} are ordered, the lots hold {found}")
        for share in order.lots:
            given[share.lot] += share.pieces
            lot = case.lots.get(share.lot)
            if share.pieces < 1:
                yield Violation(KIND, who, f"takes {share.pieces} from {share.lot}")
            if lot is not None and lot.product != order.product:
                yield Violation(KIND, who, f"comes from {lot.id}, which is {lot.product}")
    for name, lot in case.lots.items():
        if given[name] != lot.pieces:
            yield Violation(KIND, name, f"has {lot.pieces} pieces, orders take {given[name]}")


def handled(case: Case) -> Iterator[Violation]:
    """A stage handles the pieces that are in its lot or batch, and a bowl holds the dough of its pieces."""
    for task in case.plan.tasks:
        lot, batch = case.lots.get(task.lot or ""), case.batches.get(task.batch)
        if task.pieces is None or batch is None:
            continue
        there = lot.pieces if lot else sum(each.pieces for each in batch.lots)
        if task.pieces != there:
            yield Violation(KIND, task.id, f"handles {task.pieces} pieces of {there}")
    for batch in case.plan.batches:
        if batch.over_g < 0:
            yield Violation(KIND, batch.id, f"has {batch.over_g:g} g left over")
        yield from _dough(batch)


def _dough(batch: PlanBatch) -> Iterator[Violation]:
    if not batch.lots:
        return
    pieces = sum(lot.pieces for lot in batch.lots)
    wanted_g = sum(lot.pieces * lot.piece_mass_g for lot in batch.lots)
    if batch.mass_g < wanted_g - _MASS_STEP_G * (pieces + 1):
        yield Violation(KIND, batch.id, f"weighs {batch.mass_g:g} g, its pieces take {wanted_g:g} g")
    elif batch.mass_g - batch.over_g < wanted_g - _MASS_STEP_G * (pieces + 1):
        over = f"{batch.over_g:g} g of {batch.mass_g:g} g"
        yield Violation(KIND, batch.id, f"says that {over} are left over, its pieces take {wanted_g:g} g")
