"""The list of formulas with what each one is."""

from __future__ import annotations

from dataclasses import dataclass

from smallhours.actions.permissions import BAKER, Actor, require
from smallhours.actions.shelf import shelf
from smallhours.bakery.formula.balance import Balance, balance
from smallhours.bakery.formula.document import Formula
from smallhours.errors import BadInput


@dataclass(frozen=True)
class ListedFormula:
    """A formula, its newest revision number, whether it is only a dough others share, and what its main part holds
    (None where it holds no flour)."""

    formula: Formula
    number: int
    shared: bool
    balance: Balance | None


def list_formulas(actor: Actor = BAKER) -> tuple[ListedFormula, ...]:
    """All formulas by name. Raises NotAllowed."""
    require(actor, "look")
    held = shelf()
    pantry = held.pantry()
    bases = {formula.base for formula in held.formulas.values()}
    listed = []
    for slug, formula in held.formulas.items():
        whole = held.whole_formula(slug)
        try:
            held_by_it = balance(whole, pantry)
        except BadInput:
            held_by_it = None
        shared = whole.output is None and slug in bases
        listed.append(ListedFormula(formula, held.formula_numbers[slug], shared, held_by_it))
    return tuple(sorted(listed, key=lambda one: one.formula.name.casefold()))
