"""What the sheets are read from: a plan and the documents it was made from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from smallhours.bakery.formula.document import Formula
from smallhours.bakery.formula.join import joined
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.pantry import Pantry
from smallhours.errors import NotFound
from smallhours.planning.plan import PANS, Plan, PlanBatch, PlanTask
from smallhours.sheets.ribbons.strands import Strand, mark_of, strands_of


@dataclass(frozen=True)
class Papers:
    """A night's plan with the formulas (by id, as written), the kitchen and the pantry it was made from."""

    plan: Plan
    formulas: Mapping[str, Formula]
    kitchen: Kitchen
    pantry: Pantry

    def formula(self, formula_id: str) -> Formula:
        """A formula joined to its base. Raises NotFound if the papers do not hold it."""
        return joined(self._written(formula_id), self._written)

    def _written(self, formula_id: str) -> Formula:
        if formula_id not in self.formulas:
            raise NotFound(f"the plan of {self.plan.night} names the formula {formula_id!r}, which is not at hand")
        return self.formulas[formula_id]

    @cached_property
    def strands(self) -> dict[str, Strand]:
        """Ribbons by what they are of."""
        return {strand.of: strand for strand in strands_of(self.plan)}

    @cached_property
    def names(self) -> dict[str, str]:
        """Names of equipment and people by id."""
        named = {resource.id: resource.name for resource in self.plan.resources}
        return named | {person.id: person.name for person in self.plan.people}

    def mark(self, of: str) -> str:
        """The short name of a batch or lot, the same as in the ribbons."""
        if of in self.strands:
            return self.strands[of].mark
        marks = [s.mark.rstrip("0123456789") for s in self.strands.values() if s.parent == of]
        return marks[0] if marks else mark_of(len(self.plan.batches))

    def tasks_of(self, of: str) -> list[PlanTask]:
        """The tasks of a batch (before it is divided) or of a lot, in order."""
        found = [t for t in self.plan.tasks if (t.lot or t.batch) == of and t.kind not in PANS]
        return sorted(found, key=lambda task: (task.start, task.end, task.id))

    def batches(self) -> list[PlanBatch]:
        """Batches in the order in which work on them begins."""
        place = {of: number for number, of in enumerate(self.strands)}
        last = len(place)

        def first(batch: PlanBatch) -> int:
            return min((place.get(of, last) for of in (batch.id, *(lot.id for lot in batch.lots))), default=last)

        return sorted(self.plan.batches, key=first)
