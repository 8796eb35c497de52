"""Until when an order can still be met: its stages, each as short as it can be that night, back from its due time."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from smallhours.bakery.kitchen.clock import instant
from smallhours.bakery.orders.document import Order
from smallhours.errors import SmallhoursError
from smallhours.planning.days.begun import Days
from smallhours.planning.days.document import CutOff, StageOf
from smallhours.planning.shift.chains import latest_starts

RESTS_ON = (
    "A cut-off is reckoned from the shortest lengths of the stages in the windows of that night; mixers, ovens, places "
    "and people are taken to be free, and nothing to be made already: with a full night it is earlier."
)


@dataclass
class CutOffs:
    """Cut-offs, each reckoned once: from one day to the next only the date changes, unless the clocks do."""

    days: Days
    _known: dict[Any, tuple[dt.timedelta, StageOf] | None] = field(default_factory=dict)

    def of_night(self, orders: Sequence[Order], night: dt.date) -> Iterator[CutOff]:
        """The cut-off of every product that is ordered for a night, for each of its due times, and of every other
        product for the last due time of that night."""
        zone = self.days.kitchen.zone()
        ordered: dict[tuple[str, dt.time], int] = {}
        for order in orders:
            ordered[order.product, order.due] = ordered.get((order.product, order.due), 0) + order.pieces
        for (product, due), pieces in sorted(ordered.items()):
            yield from self._of(night, product, due, pieces, ordered=True)
        last = max((order.due for order in orders), default=None, key=lambda due: instant(night, due, zone))
        if last is None:
            return
        for name in sorted(set(self.days.whole) - {product for product, _ in ordered}):
            formula = self.days.whole[name]
            if formula.output is not None and formula.stages_of(formula.main):
                yield from self._of(night, name, last, formula.pieces_per_pan, ordered=False)

    def _of(self, night: dt.date, product: str, due: dt.time, pieces: int, ordered: bool) -> Iterator[CutOff]:
        """At most one; none for what nobody ordered and this kitchen cannot make."""
        zone = self.days.kitchen.zone()
        at = instant(night, due, zone)
        change = [(at - dt.timedelta(days=back)).astimezone(zone).utcoffset() for back in range(4)]
        key = (product, due, pieces, *change)
        if key not in self._known:
            order = Order(customer="-", product=product, date=night, due=due, pieces=pieces)
            try:
                self._known[key] = self._reckoned(order, at)
            except SmallhoursError:
                if ordered:
                    raise
                self._known[key] = None
        found = self._known[key]
        if found is not None:
            name = self.days.formulas[product].name
            yield CutOff(
                night=night, product=product, name=name, pieces=pieces, due=at, latest=at - found[0], first=found[1],
                ordered=ordered,
            )  # fmt: skip

    def _reckoned(self, order: Order, due: dt.datetime) -> tuple[dt.timedelta, StageOf] | None:
        """How long before its due time an order's chain begins, and with what."""
        found = self.days.asked([order], order.date)
        if found is None:
            return None
        _, steps, question = found
        latest = latest_starts(question.problem, {each.task: each.at for each in question.problem.dues})
        by_id = {step.id: step for step in steps.steps()}
        first = min((name for name in latest if name in by_id), key=lambda name: (latest[name], name))
        step = by_id[first]
        part = step.batch.formula.part(step.batch.part_id).name
        return due - steps.clock.instant(latest[first]), StageOf(kind=step.kind, name=step.stage.name or "", of=part)
