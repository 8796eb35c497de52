"""Write a formula: a new revision, unless it says nothing new."""

from __future__ import annotations

from dataclasses import dataclass

from django.db import transaction

from smallhours.actions.clock import Clock, now
from smallhours.actions.permissions import BAKER, Actor, require
from smallhours.actions.saving import Saved, save_one
from smallhours.actions.shelf import shelf
from smallhours.bakery.formula.document import Formula
from smallhours.errors import NotFound, Overtaken
from smallhours.records import queries
from smallhours.records.keeping import Signature


@dataclass(frozen=True)
class SaveFormula:
    """The formula as it should stand, and why it changes.

    ``made_from``: the revision it was made from (0: it is to be a new formula), so that what somebody else wrote
    meanwhile is not lost; None: whatever is there.
    """

    formula: Formula
    reason: str = ""
    made_from: int | None = None


def save_formula(command: SaveFormula, actor: Actor = BAKER, clock: Clock = now) -> Saved:
    """Write it. What the audit finds is in the answer and the log, and does not refuse it.

    Raises DocumentError (with every fault) if it does not hold together with the store, Overtaken if it was made from
    another revision than the newest (unless that says the same), NotAllowed.
    """
    require(actor, "save formula")
    signature = Signature(actor.name, clock(), command.reason)
    with transaction.atomic():  # nobody else writes between the look and the write
        if command.made_from is not None:
            _refuse_if_overtaken(command.formula, command.made_from)
        return save_one(shelf(), command.formula, f"formula {command.formula.id!r}", signature)


def _refuse_if_overtaken(formula: Formula, made_from: int) -> None:
    try:
        newest = queries.kept_formula(formula.id)
    except NotFound:
        return
    if newest.number != made_from and newest.document != formula:
        raise Overtaken(f"formula {formula.id!r}", made_from, newest.number)
