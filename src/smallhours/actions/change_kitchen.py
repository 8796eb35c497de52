"""Change parts of the kitchen, as somebody typed them into a page, on top of what others have changed meanwhile.

A part (the mixers, the people, today's temperatures ...) that somebody else has changed since the page was made is not
written over: the answer holds the kitchen as it is now. Changes of different parts are put together.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.db import transaction

from smallhours.actions.clock import Clock, now
from smallhours.actions.permissions import BAKER, Actor, require
from smallhours.actions.saving import Saved, save_one
from smallhours.actions.shelf import shelf
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.errors import BadInput
from smallhours.records import queries
from smallhours.records.keeping import Signature
from smallhours.records.mapping import Kept


@dataclass(frozen=True)
class ChangeKitchen:
    """Fields of the kitchen as they should be (in its JSON form). ``slug``, ``based_on``: the kitchen and its revision
    that the page showed."""

    slug: str
    based_on: int
    fields: Mapping[str, Any]
    reason: str = ""


@dataclass(frozen=True)
class ChangedKitchen:
    """What was saved; or, with ``overtaken``, the kitchen as somebody else has written it, and nothing was saved."""

    saved: Saved | None
    overtaken: Kept[Kitchen] | None = None


def change_kitchen(command: ChangeKitchen, actor: Actor = BAKER, clock: Clock = now) -> ChangedKitchen:
    """Write a new revision with the fields given.

    Raises DocumentError with every fault, NotFound if the revision or kitchen is not there, BadInput for a field that
    no kitchen has, NotAllowed.
    """
    require(actor, "save kitchen")
    unknown = set(command.fields) - set(Kitchen.model_fields)
    if unknown:
        raise BadInput(f"a kitchen has no {', '.join(sorted(unknown))}")
    with transaction.atomic():
        held = shelf()
        newest = queries.kept_kitchen()
        former = queries.kept_kitchen(command.slug, command.based_on).document
        wanted = Kitchen.read(newest.document.to_json_data() | dict(command.fields), f"kitchen {command.slug!r}")
        if _overtaken(command, former, newest.document, wanted):
            return ChangedKitchen(None, newest)
        signature = Signature(actor.name, clock(), command.reason)
        return ChangedKitchen(save_one(held, wanted, f"kitchen {wanted.id!r}", signature))


def _overtaken(command: ChangeKitchen, former: Kitchen, newest: Kitchen, wanted: Kitchen) -> bool:
    """Whether a field that is to change has been changed by somebody else, to something else."""
    if newest.id != command.slug:
        return True
    return any(getattr(newest, name) not in (getattr(former, name), getattr(wanted, name)) for name in command.fields)
