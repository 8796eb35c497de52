"""What the sheets of a night need: its plan and the documents it was made from, as they stood then."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

from smallhours.actions.permissions import BAKER, Actor, require
from smallhours.actions.stored_plan import StoredPlan, stored_plan
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.formula.join import joined
from smallhours.bakery.kitchen.document import Kitchen, Temperatures
from smallhours.bakery.pantry import Pantry
from smallhours.planning.plan import Plan
from smallhours.records import queries


@dataclass(frozen=True)
class NightPapersOf:
    """Which plan: that of an id, the newest of a night (a published one first), or the newest of all."""

    night: dt.date | None = None
    plan_id: int | None = None


@dataclass(frozen=True)
class NightPapers:
    """A plan with its formulas (each with its base joined in, by id), pantry and kitchen at their revisions."""

    stored: StoredPlan
    formulas: Mapping[str, Formula]
    pantry: Pantry
    kitchen: Kitchen

    @property
    def plan(self) -> Plan:
        """The plan itself."""
        return self.stored.plan


def night_papers(command: NightPapersOf = NightPapersOf(), actor: Actor = BAKER) -> NightPapers:
    """The papers of a night. Raises NotFound if there is no such plan, NotAllowed."""
    require(actor, "look")
    return papers_of(stored_plan(queries.kept_plan(command.night, command.plan_id)))


def papers_of(stored: StoredPlan) -> NightPapers:
    """The papers of a plan at hand. Raises NotFound if one of its revisions is not in the store."""
    numbers = stored.made_from["formulas"]
    known: dict[str, Formula] = {}

    def find(slug: str) -> Formula:
        if slug not in known:
            known[slug] = queries.kept_formula(slug, numbers.get(slug)).document
        return known[slug]

    slug, number = stored.made_from["kitchen"]
    kitchen = queries.kept_kitchen(slug, number).document
    if "temperatures" in stored.made_from:
        temperatures = Temperatures.read(stored.made_from["temperatures"], f"plan {stored.id}, temperatures")
        kitchen = kitchen.model_copy(update={"temperatures": temperatures})
    named = {batch.formula for batch in stored.plan.batches} | {order.product for order in stored.plan.orders}
    named |= {lot.product for batch in stored.plan.batches for lot in batch.lots}
    formulas = {name: joined(find(name), find) for name in sorted(named) if name in numbers}
    pantry = Pantry(queries.ingredient_list(stored.made_from["ingredients"]).ingredients)
    return NightPapers(stored, formulas, pantry, kitchen)
