"""Write a kitchen; the one written last is the one plans are made for."""

from __future__ import annotations

from dataclasses import dataclass

from smallhours.actions.clock import Clock, now
from smallhours.actions.permissions import BAKER, Actor, require
from smallhours.actions.saving import Saved, save_one
from smallhours.actions.shelf import shelf
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.records.keeping import Signature


@dataclass(frozen=True)
class SaveKitchen:
    """The kitchen as it should stand, and why it changes."""

    kitchen: Kitchen
    reason: str = ""


def save_kitchen(command: SaveKitchen, actor: Actor = BAKER, clock: Clock = now) -> Saved:
    """Write it. What the audit finds is in the answer and the log, and does not refuse it.

    Raises DocumentError (with every fault) if it does not hold together with the store, NotAllowed.
    """
    require(actor, "save kitchen")
    signature = Signature(actor.name, clock(), command.reason)
    return save_one(shelf(), command.kitchen, f"kitchen {command.kitchen.id!r}", signature)
