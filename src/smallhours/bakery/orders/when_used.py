"""When a part goes into a dough or onto its pieces, if every stage takes as long as its formula means: near enough to
say whether one bowl of it keeps for all that need it."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from smallhours.bakery.formula.document import Formula, Stage
from smallhours.bakery.orders.lots import LotNeed
from smallhours.bakery.process import habits

if TYPE_CHECKING:
    from smallhours.bakery.orders.batches import Batch

Span = tuple[dt.datetime, dt.datetime]


@dataclass
class WhenUsed:
    """The stages of a night's batches back from their due times. ``formulas``: of the products, joined."""

    formulas: Mapping[str, Formula]
    _begins: dict[str, dt.datetime] = field(default_factory=dict)

    def span(self, part_id: str, batch: Batch) -> Span:
        """Between which instants a part goes into a batch and onto its pieces."""
        through = self._through(batch)
        own = batch.formula.stages_of(batch.part_id)
        of_batch = own[:through] if batch.lots else own
        found: list[dt.datetime] = []
        for lot in batch.lots:
            stages = self._stages(lot)[through:]
            found += [_begin(lot.due, stages[n:], lot.pieces) for n, s in enumerate(stages) if part_id in s.uses]
        pieces = sum(lot.pieces for lot in batch.lots)
        end = self._end(batch)
        named = [n for n, stage in enumerate(of_batch) if part_id in stage.uses]
        if not named and not found:
            named = [n for n, stage in enumerate(of_batch) if stage.kind == "mix"][:1] or [0]
        found += [_begin(end, of_batch[n:], pieces) for n in named]
        return min(found), max(found)

    def note(self, batch: Batch, users: Sequence[tuple[str, Batch]]) -> None:
        """Remember when a part has to be ready that goes into other batches: the first use of it. ``users``: the part,
        and the batch it goes into."""
        self._begins[batch.id] = min(self.span(part, target)[0] for part, target in users)

    def _end(self, batch: Batch) -> dt.datetime:
        """When the stages of the whole batch are over."""
        if not batch.lots:
            return self._begins[batch.id]
        through = self._through(batch)
        return min(_begin(lot.due, self._stages(lot)[through:], lot.pieces) for lot in batch.lots)

    def _through(self, batch: Batch) -> int:
        """How many stages the whole batch goes through."""
        shared = len(habits.chain_of(batch.formula.stages_of(batch.formula.main)).of_batch)
        return max(0, min([shared, *(len(self._stages(lot)) - 1 for lot in batch.lots)]))

    def _stages(self, lot: LotNeed) -> tuple[Stage, ...]:
        product = self.formulas[lot.product]
        return product.stages_of(product.main)


def one_by_one_s(formula: Formula, part_id: str, targets: Sequence[Batch]) -> float:
    """How long after one of these batches the next can take in a part, if all are mixed in the one mixer there is."""
    mixers = {batch.mixers for batch in targets}
    if len(mixers) != 1 or len(next(iter(mixers))) != 1:
        return 0.0
    if not all(any(line.part == part_id for line in batch.formula.part(batch.part_id).lines) for batch in targets):
        return 0.0
    if any(part_id in stage.uses for stage in formula.stages):
        return 0.0
    mixing = (stage for batch in targets for stage in batch.formula.stages_of(batch.part_id) if stage.kind == "mix")
    return max((habits.duration_s(stage, 0) for stage in mixing), default=0.0)


def _begin(end: dt.datetime, stages: Sequence[Stage], pieces: int) -> dt.datetime:
    return end - dt.timedelta(seconds=sum(habits.duration_s(stage, pieces) for stage in stages))


def kept_together(spans: Sequence[Span], keeps_s: float | None, one_by_one_s: float = 0.0) -> list[list[int]]:
    """Which uses one bowl of a part can serve, the earliest first: those that begin within ``keeps_s``.

    ``one_by_one_s``: how much later each use begins than the one before it, where they cannot be at the same time.

    >>> at = [dt.datetime(2026, 1, 1, hour) for hour in (3, 4, 9)]
    >>> kept_together([(t, t) for t in at], 2 * 3600.0), kept_together([(t, t) for t in at], None)
    ([[0, 1], [2]], [[0, 1, 2]])
    """
    keeps = math.inf if keeps_s is None else keeps_s
    groups: list[list[int]] = []
    for index in sorted(range(len(spans)), key=lambda n: (spans[n], n)):
        group = groups[-1] if groups else []
        first = min((spans[n][0] for n in group), default=spans[index][0])
        last = max([spans[index][1], *(spans[n][1] for n in group)])
        apart_s = max((last - first).total_seconds(), one_by_one_s * len(group))
        if group and apart_s <= keeps:
            group.append(index)
        else:
            groups.append([index])
    return groups
