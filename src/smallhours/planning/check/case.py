"""A plan with the documents it is checked against, looked up by name."""

from __future__ import annotations

import datetime as dt
import zoneinfo
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from smallhours.bakery.formula.document import Formula
from smallhours.bakery.kitchen.document import Deck, Kitchen, Oven
from smallhours.bakery.orders.document import OrderBook
from smallhours.bakery.pantry import Pantry
from smallhours.planning.plan import ASIDE, OvenStretch, Plan, PlanBatch, PlanLot, PlanResource, PlanTask, Taken

_TOLD = "because nothing fits otherwise"


@dataclass(frozen=True)
class Documents:
    """What a plan can be held against, as far as it is at hand. ``formulas``: by id, each with its base joined in;
    ``pantry``: their ingredients, for the allergens in them."""

    kitchen: Kitchen | None = None
    formulas: Mapping[str, Formula] | None = None
    orders: OrderBook | None = None
    pantry: Pantry | None = None


@dataclass(frozen=True)
class Case:
    """A plan and its documents. Of two things with one name the first is found; ``names`` reports the other."""

    plan: Plan
    documents: Documents = field(default_factory=Documents)

    @cached_property
    def tasks(self) -> dict[str, PlanTask]:
        """Tasks by id."""
        return {task.id: task for task in reversed(self.plan.tasks)}

    @cached_property
    def resources(self) -> dict[str, PlanResource]:
        """Resources by id."""
        return {resource.id: resource for resource in reversed(self.plan.resources)}

    @cached_property
    def batches(self) -> dict[str, PlanBatch]:
        """Batches by id."""
        return {batch.id: batch for batch in reversed(self.plan.batches)}

    @cached_property
    def lots(self) -> dict[str, PlanLot]:
        """Lots by id."""
        return {lot.id: lot for batch in reversed(self.plan.batches) for lot in reversed(batch.lots)}

    @cached_property
    def strands(self) -> dict[str, list[PlanTask]]:
        """The stages of each batch (while it is one mass) and of each lot, in order of time."""
        found: dict[str, list[PlanTask]] = defaultdict(list)
        for task in sorted(self.plan.tasks, key=lambda t: (t.start, t.end)):
            if task.kind not in ASIDE:
                found[task.lot or task.batch].append(task)
        return dict(found)

    @cached_property
    def decks(self) -> frozenset[str]:
        """The ids of all oven decks."""
        return frozenset(r.id for r in self.plan.resources if r.kind == "deck")

    @cached_property
    def taken(self) -> tuple[Taken, ...]:
        """What other nights use within the time of this plan; a pause that this plan tells of too is not told twice."""
        own = {(person.id, pause.start, pause.end) for person in self.plan.people for pause in person.breaks}
        first, last = self.plan.horizon_start, self.plan.horizon_end
        return tuple(
            each.model_copy(update={"start": max(each.start, first), "end": min(each.end, last)})
            for each in self.plan.taken
            if each.amount
            and each.start < last
            and each.end > first
            and not (each.pause and (each.person, each.start, each.end) in own)
        )

    @cached_property
    def stretches(self) -> dict[str, list[OvenStretch]]:
        """What each deck is set to, in order of time; also for other nights."""
        found: dict[str, list[OvenStretch]] = defaultdict(list)
        for stretch in sorted((*self.plan.ovens, *self._other_stretches()), key=lambda s: (s.start, s.end)):
            before = found[stretch.deck][-1] if found[stretch.deck] else None
            if before is not None and before.set_temp_c == stretch.set_temp_c and stretch.start <= before.end:
                longer = before.model_copy(update={"end": max(before.end, stretch.end)})
                found[stretch.deck][-1] = longer
            else:
                found[stretch.deck].append(stretch)
        return dict(found)

    def _other_stretches(self) -> Iterator[OvenStretch]:
        """How other nights have the decks standing in the time of this plan."""
        for t in self.plan.taken:
            if t.set_temp_c is not None and t.end > self.plan.horizon_start and t.start < self.plan.horizon_end:
                ready = t.start if t.ready is None else t.ready
                yield OvenStretch(deck=t.resource, set_temp_c=t.set_temp_c, heat_from=t.start, start=ready, end=t.end)

    @cached_property
    def own_stretches(self) -> frozenset[tuple[str, dt.datetime]]:
        """Deck and start of the stretches that are this plan's own."""
        return frozenset((stretch.deck, stretch.start) for stretch in self.plan.ovens)

    @cached_property
    def kitchen_decks(self) -> dict[str, tuple[Oven, Deck]]:
        """The kitchen's decks by the name a plan gives them: the oven's id and the deck's."""
        ovens = () if self.documents.kitchen is None else self.documents.kitchen.ovens
        return {f"{oven.id}.{deck.id}": (oven, deck) for oven in ovens for deck in oven.decks}

    @cached_property
    def _zone(self) -> dt.tzinfo:
        try:
            return zoneinfo.ZoneInfo(self.plan.timezone)
        except (zoneinfo.ZoneInfoNotFoundError, ValueError, OSError):
            return dt.UTC

    def clock(self, instant: dt.datetime) -> str:
        """A day and time on the kitchen's clock."""
        return f"{instant.astimezone(self._zone):%a %H:%M}"

    def told(self, about: str) -> bool:
        """Whether the notes say that this batch or lot is kept longer than it should be."""
        return any(note.startswith(f"{about}: ") and note.endswith(_TOLD) for note in self.plan.notes)


def seconds(start: dt.datetime, end: dt.datetime) -> float:
    """Elapsed seconds from one instant to another."""
    return (end - start).total_seconds()


def minutes(length_s: float) -> str:
    """A length as people say it.

    >>> minutes(5400.0), minutes(45.0)
    ('90 min', '0.75 min')
    """
    return f"{length_s / 60:.4g} min"
