"""Write a formula: a new revision, unless it says nothing new."""

from __future__ import annotations

from dataclasses import dataclass

from smallhours.actions.clock import Clock, now
from smallhours.actions.permissions import BAKER, Actor, require
from smallhours.actions.saving import Saved, save_one
from smallhours.actions.shelf import shelf
from smallhours.bakery.formula.document import Formula
from smallhours.records.keeping import Signature


@dataclass(frozen=True)
class SaveFormula:
    """The formula as it should stand, and why it changes."""

    formula: Formula
    reason: str = ""


def save_formula(command: SaveFormula, actor: Actor = BAKER, clock: Clock = now) -> Saved:
    """Write it. What the audit finds is in the answer and the log, and does not refuse it.

    Raises DocumentError (with every fault) if it does not hold together with the store, NotAllowed.
    """
    require(actor, "save")
    signature = Signature(actor.name, clock(), command.reason)
    return save_one(shelf(), command.formula, f"formula {command.formula.id!r}", signature)
