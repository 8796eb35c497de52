"""The rules that tie steps together in time: one rule, one function, one sentence; its name is its id.

Each rule yields lags; what a step needs while it lasts (mixer, bench, hands, pans, places, oven) are its demands.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from smallhours.bakery.orders.batches import Batch
from smallhours.bakery.process import habits
from smallhours.planning.engine.problem import Lag
from smallhours.planning.shift.clock import Clock
from smallhours.planning.shift.steps import Step, Strand

LOT_AFTER_LOT_S = 20 * 60.0


@dataclass(frozen=True)
class RuledLag:
    """A lag and the rule it comes from."""

    rule: str
    lag: Lag


@dataclass(frozen=True)
class Night:
    """All strands of a night: each batch with its own, and the strands of its lots."""

    batches: tuple[tuple[Batch, Strand], ...]
    lots: Mapping[str, tuple[Strand, ...]]
    clock: Clock

    def steps(self) -> Iterator[Step]:
        """Every step."""
        for batch, strand in self.batches:
            yield from strand.steps
            for lot in self.lots.get(batch.id, ()):
                yield from lot.steps


def all_rules(night: Night) -> Iterator[RuledLag]:
    """Every rule over the whole night."""
    for rule in (stages_follow_on, lots_follow_their_dough, a_part_is_ready_before_it_is_used):
        yield from rule(night)


def stages_follow_on(night: Night) -> Iterator[RuledLag]:
    """A dough is always somewhere: its next stage begins when the last one ends, or after a wait that does no harm."""
    strands = [strand for _, strand in night.batches] + [s for lots in night.lots.values() for s in lots]
    for strand in strands:
        for before, after in zip(strand.steps, strand.steps[1:], strict=False):
            wait = night.clock.length(habits.wait_after_s(before.stage))
            yield RuledLag("stages_follow_on", Lag(before.id, after.id, 0, wait))


def lots_follow_their_dough(night: Night) -> Iterator[RuledLag]:
    """Lots are taken from the dough one after another, while the dough's last rest still allows it."""
    for batch, strand in night.batches:
        lots = [lot for lot in night.lots.get(batch.id, ()) if lot.steps]
        if not strand.steps:
            continue
        last = strand.steps[-1]
        for lot in lots:
            first = lot.steps[0]
            spread_s = LOT_AFTER_LOT_S * len(lots)
            # a longer wait is a longer rest: it has to lie in the rest's own window, where the plan shows and weighs it
            yield RuledLag("lots_follow_their_dough", Lag(last.id, first.id, 0, night.clock.length(spread_s)))
            longest_s = max(way.window.preferred_s + spread_s for way in last.ways)
            longest_s = max(longest_s, *(way.window.max_s for way in last.ways))
            limit = night.clock.length(longest_s)
            yield RuledLag("lots_follow_their_dough", Lag(last.id, first.id, 0, limit, before_side="start"))


def a_part_is_ready_before_it_is_used(night: Night) -> Iterator[RuledLag]:
    """A preferment, soaker, filling or glaze is ready before it is used, and used while it keeps."""
    by_id = {batch.id: (batch, strand) for batch, strand in night.batches}
    for batch, strand in night.batches:
        if not strand.steps:
            continue
        part = batch.formula.part(batch.part_id)
        keeps = None if part.keeps_s is None else night.clock.length(part.keeps_s)
        for target_id in batch.feeds:
            target, target_strand = by_id[target_id]
            for step in _uses(night, batch, target, target_strand):
                yield RuledLag("a_part_is_ready_before_it_is_used", Lag(strand.steps[-1].id, step.id, 0, keeps))


def _uses(night: Night, fed: Batch, target: Batch, strand: Strand) -> Sequence[Step]:
    """The steps of a batch (and of its lots of the same product) in which a part comes in."""
    lots = night.lots.get(target.id, ())
    named = [s for s in strand.steps if fed.part_id in s.stage.uses]
    named += [s for lot in lots for s in lot.steps if fed.part_id in s.stage.uses and _of_product(s, fed)]
    lines = {line.part for line in target.formula.part(target.part_id).lines} if _same(fed, target) else set()
    if named:
        return named
    if fed.part_id not in lines:  # nobody says when it comes in: it is there before the pieces are begun
        return [lot.steps[0] for lot in lots if lot.steps and _of_product(lot.steps[0], fed)]
    mixing = [step for step in strand.steps if step.kind == "mix"] or list(strand.steps)
    return mixing[:1] or [lot.steps[0] for lot in lots if lot.steps]


def _same(fed: Batch, target: Batch) -> bool:
    return any(part.id == fed.part_id for part in target.formula.parts)


def _of_product(step: Step, fed: Batch) -> bool:
    assert step.lot is not None
    return step.lot.product == fed.formula.id or fed.formula.id == step.batch.formula.id
