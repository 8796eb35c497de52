"""The whole check of a plan: every rule, one after the other."""

from __future__ import annotations

from smallhours.planning.check import (
    allergens,
    book,
    capacity,
    chain,
    doors,
    due,
    facts,
    formulas,
    hands,
    kitchen,
    links,
    mixers,
    names,
    oven,
    pieces,
    places,
    times,
)
from smallhours.planning.check.case import Case, Documents
from smallhours.planning.check.violation import Check, Violation
from smallhours.planning.plan import Plan

_NO_PLAN = ("infeasible", "unknown")
RULES: dict[str, tuple[Check, ...]] = {
    "instant": (times.instants,),
    "names": (names.names,),
    "horizon": (times.horizon,),
    "window": (times.windows,),
    "link": (links.links,),
    "chain": (chain.stages, chain.lots, chain.parts),
    "capacity": (capacity.capacity,),
    "place": (places.places, places.pans),
    "door": (doors.openings, doors.limits),
    "hands": (hands.presence, hands.attention),
    "oven": (oven.changes, oven.bakes, oven.shut, oven.recovers),
    "mixer": (mixers.mixers,),
    "pieces": (pieces.ordered, pieces.handled),
    "ready": (due.ready,),
    "late": (due.late,),
    "allergens": (allergens.contents, allergens.order, allergens.truth),
    "kitchen": (kitchen.equipment, kitchen.people),
    "formula": (formulas.formulas, formulas.fed, formulas.keeping),
    "orders": (book.book,),
}
"""Kind of violation -> the rules whose breach it is. The last three are held against documents given with the plan."""


def violations(plan: Plan, documents: Documents | None = None) -> tuple[Violation, ...]:
    """Everything that is wrong with a plan; empty for a good one.

    It is found from the plan's own document, and from ``documents`` as far as they are given, without anything of what
    made the plan.
    """
    if plan.status in _NO_PLAN and not plan.tasks:
        return ()  # it says itself that there is none
    case = Case(facts.ahead(plan), documents or Documents())
    found: list[Violation] = []
    for kind, checks in RULES.items():
        found += [violation for check in checks for violation in check(case)]
        if found and kind == "instant":
            break  # all other rules compare instants
    return tuple(facts.not_facts(plan, found))
