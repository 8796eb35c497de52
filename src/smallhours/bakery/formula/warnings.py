"""Plain warnings where trade practice sees trouble in a formula."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from smallhours.bakery.finding import Finding
from smallhours.bakery.formula import dough_rules, stage_rules
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.formula.reading import Reading
from smallhours.bakery.pantry import Pantry

Rule = Callable[[Reading], Iterator[Finding]]

RULES: tuple[Rule, ...] = (
    dough_rules.salt_is_there,
    dough_rules.salt_in_range,
    dough_rules.yeast_in_range,
    dough_rules.something_raises_it,
    dough_rules.sugar_needs_its_yeast,
    dough_rules.sugar_in_two_goes,
    dough_rules.butter_after_development,
    dough_rules.hydration_is_plausible,
    dough_rules.composition_is_known,
    dough_rules.steering_liquid_is_marked,
    dough_rules.filling_is_not_too_much,
    stage_rules.retard_is_not_too_long,
    stage_rules.butter_proofs_cool,
    stage_rules.dough_with_butter_is_cool,
    stage_rules.retarded_pieces_warm_up,
)


def warnings(formula: Formula, pantry: Pantry) -> list[Finding]:
    """What trade practice would say about a (joined) formula, in the order of the rules.

    Raises: as ``unit_amounts``.
    """
    read = Reading(formula, pantry)
    return [finding for rule in RULES for finding in rule(read)]
