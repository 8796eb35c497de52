"""Shared tablets: let one in with a code that is shown once, see which there are, end one."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field

from django.db import transaction

from smallhours.actions.clock import Clock, now
from smallhours.actions.people import patience
from smallhours.actions.people.names import proper_name
from smallhours.actions.people.secret import code_hash, new_code, new_token, token_hash
from smallhours.actions.permissions import BAKER, Actor, require
from smallhours.errors import NotFound, NotLetIn
from smallhours.records import keeping, people
from smallhours.records.people import KeptTablet

CODE_COUNTS = dt.timedelta(minutes=15)
_SEEN_EVERY = dt.timedelta(minutes=1)


@dataclass(frozen=True)
class AddTablet:
    """What the tablet is called (where it lies, what is on its back)."""

    name: str
    reason: str = ""


@dataclass(frozen=True)
class Code:
    """A code that pairs one tablet, once; it is nowhere but in here."""

    tablet: KeptTablet
    code: str = field(repr=False)

    @property
    def readable(self) -> str:
        """The code in two halves."""
        half = len(self.code) // 2
        return f"{self.code[:half]}-{self.code[half:]}"


@dataclass(frozen=True)
class PairTablet:
    """The code that was typed or scanned; ``address``: where the question comes from."""

    code: str = field(repr=False)
    address: str = ""


@dataclass(frozen=True)
class Paired:
    """A tablet and its key from now on; it is nowhere but in here."""

    tablet: KeptTablet
    token: str = field(repr=False)


@dataclass(frozen=True)
class RevokeTablet:
    """Which tablet ends, and why."""

    tablet_id: int
    reason: str = ""


def add_tablet(command: AddTablet, actor: Actor = BAKER, clock: Clock = now) -> Code:
    """A new code, good for a quarter of an hour. Raises BadInput (name), NotAllowed."""
    require(actor, "pair tablets")
    name, at, code = proper_name(command.name, "name of the tablet"), clock(), new_code()
    with transaction.atomic():
        tablet = people.add_tablet(name, code_hash(code), at + CODE_COUNTS, at, actor.name)
        keeping.write_log(
            keeping.Done("add", "tablet", name, details={"tablet": tablet.id}),
            keeping.Signature(actor.name, at, command.reason),
        )
    return Code(tablet, code)


def pair_tablet(command: PairTablet, clock: Clock = now) -> Paired:
    """Exchange a code for a token. Raises NotLetIn (wrong, used or too old), TooSoon."""
    at, token, subject = clock(), new_token(), f"code:{command.address}"
    counts = patience.count_try({subject: patience.BY_CODE}, at)
    with transaction.atomic():
        tablet = people.take_code(code_hash(command.code), token_hash(token), at)
        if tablet is not None:
            details = {"tablet": tablet.id, "address": command.address}
            done = keeping.Done("pair", "tablet", tablet.name, details=details)
            keeping.write_log(done, keeping.Signature(tablet.added_by, at))
    if tablet is None:
        raise NotLetIn("this code is wrong, has been used, or is too old; ask for a new one")
    patience.was_right(subject, counts, at)
    return Paired(tablet, token)


def tablet_here(token: str, clock: Clock = now) -> KeptTablet | None:
    """The tablet that holds this token, if it may still be used; remembers that it was seen."""
    tablet = people.tablet_with_token(token_hash(token)) if token else None
    if tablet is not None and (tablet.seen_at is None or clock() - tablet.seen_at > _SEEN_EVERY):
        people.saw_tablet(tablet.id, clock())
    return tablet


def list_tablets(actor: Actor = BAKER, clock: Clock = now) -> list[KeptTablet]:
    """The tablets that are paired or may still be. Raises NotAllowed."""
    require(actor, "pair tablets")
    at = clock()
    return [
        tablet
        for tablet in people.tablets()
        if tablet.revoked_at is None and (tablet.paired_at or (tablet.code_until and tablet.code_until > at))
    ]


def revoke_tablet(command: RevokeTablet, actor: Actor = BAKER, clock: Clock = now) -> KeptTablet:
    """End a tablet at once, also for who is signed in on it. Raises NotFound, NotAllowed."""
    require(actor, "pair tablets")
    at = clock()
    tablet = people.tablet_of(command.tablet_id)
    if tablet is None or tablet.revoked_at is not None:
        raise NotFound(f"there is no tablet {command.tablet_id}; list them to see their numbers")
    with transaction.atomic():
        people.revoke_tablet(tablet.id, at)
        done = keeping.Done("revoke", "tablet", tablet.name, details={"tablet": tablet.id})
        keeping.write_log(done, keeping.Signature(actor.name, at, command.reason))
    return tablet
