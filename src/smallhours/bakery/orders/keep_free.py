"""What of a night has to be kept free from which allergen, and what holds it.

A lot has to be free from what its formula and its orders say; a dough from what any of its lots says; what goes into
them from what they say.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from smallhours.bakery.formula.document import Formula, Stage
from smallhours.bakery.formula.free_from import held_by_stage
from smallhours.bakery.orders.batches import Batch, LotNeed
from smallhours.bakery.orders.document import Order
from smallhours.bakery.pantry import Pantry

NOTHING: frozenset[str] = frozenset()


@dataclass(frozen=True)
class KeepFree:
    """The allergens that something of this night has to be free from, and what has to be free or holds them.

    ``claimed``: those; everything else is not looked at.
    """

    claimed: frozenset[str] = NOTHING
    _free: Mapping[str, frozenset[str]] = field(default_factory=dict)
    _holds: Mapping[tuple[str, str], Mapping[str, frozenset[str]]] = field(default_factory=dict)

    def free_from(self, batch: Batch, lot: LotNeed | None) -> frozenset[str]:
        """What a dough (or part), or a lot of it, has to be free from."""
        return self._free.get(lot.id if lot else batch.id, NOTHING)

    def holds(self, batch: Batch, lot: LotNeed | None, stage: Stage) -> frozenset[str]:
        """Which of the claimed allergens it holds by the end of a stage."""
        key = (lot.product, "") if lot else (batch.formula.id, batch.part_id)
        return self._holds.get(key, {}).get(stage.key, NOTHING)


def keep_free(
    batches: Sequence[Batch], formulas: Mapping[str, Formula], orders: Sequence[Order], pantry: Pantry
) -> KeepFree:
    """What has to be kept free from what; nothing is looked up when nobody says anything.

    ``formulas``: joined, of the products; ``orders``: those that the batches were made for.
    """
    free = _of_lots(batches, formulas, orders)
    if not any(free.values()):
        return KeepFree()
    for batch in batches:
        free[batch.id] = NOTHING.union(*(free[lot.id] for lot in batch.lots))
    for batch in batches:  # what goes into another stands after it
        free[batch.id] |= _of_fed(batch, batches, formulas, free)
    claimed = NOTHING.union(*free.values())
    holds: dict[tuple[str, str], Mapping[str, frozenset[str]]] = {}
    for batch in batches:
        holds[batch.formula.id, batch.part_id] = _claimed(batch.formula, batch.part_id, pantry, claimed)
        for lot in batch.lots:
            product = formulas[lot.product]
            holds[lot.product, ""] = _claimed(product, product.main, pantry, claimed)
    return KeepFree(claimed, free, holds)


def _of_lots(
    batches: Sequence[Batch], formulas: Mapping[str, Formula], orders: Sequence[Order]
) -> dict[str, frozenset[str]]:
    return {
        lot.id: frozenset(formulas[lot.product].free_from).union(*(orders[index].free_from for index, _ in lot.orders))
        for batch in batches
        for lot in batch.lots
    }


def _of_fed(
    batch: Batch, batches: Sequence[Batch], formulas: Mapping[str, Formula], free: Mapping[str, frozenset[str]]
) -> frozenset[str]:
    """What the doughs and lots that a part goes into have to be free from."""
    found = NOTHING
    for target in batches:
        if target.id not in batch.feeds:
            continue
        known = {part.id for part in target.formula.parts}
        lines = target.formula.part(target.part_id).lines if batch.part_id in known else ()
        if any(line.part == batch.part_id for line in lines):
            found |= free[target.id]
        else:
            found = found.union(*(free[lot.id] for lot in target.lots if _takes(formulas[lot.product], batch)))
    return found


def _takes(product: Formula, fed: Batch) -> bool:
    """Whether a product has this very part, its own or its base's."""
    own = next((part for part in product.parts if part.id == fed.part_id), None)
    return own is not None and own == fed.formula.part(fed.part_id)


def _claimed(formula: Formula, part_id: str, pantry: Pantry, claimed: frozenset[str]) -> Mapping[str, frozenset[str]]:
    return {key: held & claimed for key, held in held_by_stage(formula, part_id, pantry).items()}
