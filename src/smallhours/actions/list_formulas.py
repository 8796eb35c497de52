"""The list of formulas with what each one is."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from smallhours.actions.clock import Clock, now
from smallhours.actions.permissions import BAKER, Actor, require
from smallhours.actions.shelf import Shelf, shelf
from smallhours.bakery.formula.balance import Balance, balance
from smallhours.bakery.formula.document import Formula
from smallhours.errors import BadInput
from smallhours.records import queries


@dataclass(frozen=True)
class ListedFormula:
    """A formula, its newest revision number, whether it is only a dough others share, what its main part holds
    (None where it holds no flour), and the last night whose plan baked it (None: none did)."""

    formula: Formula
    number: int
    shared: bool
    balance: Balance | None
    last_bake: dt.date | None = None


def list_formulas(actor: Actor = BAKER, clock: Clock = now) -> tuple[ListedFormula, ...]:
    """All formulas by name. Raises NotAllowed."""
    require(actor, "look")
    held = shelf()
    pantry = held.pantry()
    last = queries.last_planned(_today(held, clock))
    bases = {formula.base for formula in held.formulas.values()}
    listed = []
    for slug, formula in held.formulas.items():
        whole = held.whole_formula(slug)
        try:
            held_by_it = balance(whole, pantry)
        except BadInput:
            held_by_it = None
        shared = whole.output is None and slug in bases
        listed.append(ListedFormula(formula, held.formula_numbers[slug], shared, held_by_it, last.get(slug)))
    return tuple(sorted(listed, key=lambda one: one.formula.name.casefold()))


def _today(held: Shelf, clock: Clock) -> dt.date:
    """The day on the kitchen's clock."""
    at = clock()
    return at.date() if held.kitchen is None else at.astimezone(held.kitchen.zone()).date()
