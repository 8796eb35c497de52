"""A formula that is being written, laid open before it is saved; writes nothing."""

from __future__ import annotations

from dataclasses import dataclass, replace

from smallhours.actions.permissions import BAKER, Actor, require
from smallhours.actions.shelf import Shelf, shelf
from smallhours.actions.show_formula import ShowFormula, ShownFormula, opened
from smallhours.actions.soundness import formula_faults
from smallhours.bakery.formula.document import Formula
from smallhours.errors import DocumentError


@dataclass(frozen=True)
class DraftFormula:
    """The formula as it stands in the form, and for how much of it masses are wanted (its ``slug`` is not read)."""

    formula: Formula
    amount: ShowFormula | None = None


def draft_formula(command: DraftFormula, actor: Actor = BAKER, held: Shelf | None = None) -> ShownFormula:
    """The draft laid open; ``number`` is 0 for one that is not in the store. ``held``: the store, if read already.

    Raises: DocumentError with every fault; OutOfRange for an amount that cannot be, NotFound for an ingredient on hand
    that is not in it; NotAllowed.
    """
    require(actor, "look")
    held = shelf() if held is None else held
    formula = command.formula
    formulas = {**held.formulas, formula.id: formula}
    faults = list(formula_faults(formula, formulas, held.pantry()))
    if faults:
        raise DocumentError(f"formula {formula.id!r}", faults)
    amount = command.amount or ShowFormula(formula.id)
    number = held.formula_numbers.get(formula.id, 0)
    return opened(formula, number, held, replace(amount, slug=formula.id))
