"""The formula audit: about a third of published formulas do not add up, and here is where."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from smallhours.bakery.finding import Finding
from smallhours.bakery.formula import basis_rules, yield_rules
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.formula.reading import Reading
from smallhours.bakery.pantry import Pantry

Rule = Callable[[Reading], Iterator[Finding]]

RULES: tuple[Rule, ...] = (
    yield_rules.yield_is_there,
    yield_rules.pieces_are_there,
    yield_rules.claims_agree,
    yield_rules.sheet_has_its_mass,
    yield_rules.slices_fit_the_log,
    yield_rules.slices_have_their_mass,
    yield_rules.layers_are_counted_once,
    basis_rules.flour_is_one_hundred,
    basis_rules.near_flours_are_beside,
    basis_rules.percentages_have_their_basis,
    basis_rules.flour_in_the_preferment_counts,
    basis_rules.measures_weigh_what_they_say,
)


def audit(formula: Formula, pantry: Pantry) -> list[Finding]:
    """What does not add up in a (joined) formula, in the order of the rules.

    Raises: as ``unit_amounts``.
    """
    read = Reading(formula, pantry)
    return [finding for rule in RULES for finding in rule(read)]
