"""Give somebody a new password or PIN: the head baker for anybody, everybody for themselves."""

from __future__ import annotations

from dataclasses import dataclass, field

from django.db import transaction

from smallhours.actions.clock import Clock, now
from smallhours.actions.people import patience
from smallhours.actions.people.find_person import find_person
from smallhours.actions.people.secret import matches_password, password_hash, pin_hash
from smallhours.actions.permissions import BAKER, Actor, require
from smallhours.errors import NotLetIn
from smallhours.records import keeping, people
from smallhours.records.people import KeptPerson


@dataclass(frozen=True)
class SetPassword:
    """Whose, and which. ``former``: the one that counts now; has to be right for one's own at a page."""

    name: str
    password: str = field(repr=False)
    former: str | None = field(default=None, repr=False)
    reason: str = ""


@dataclass(frozen=True)
class SetPin:
    """Whose, and which; an empty one takes the PIN away. ``password``: has to be right for one's own at a page."""

    name: str
    pin: str = field(repr=False)
    password: str | None = field(default=None, repr=False)
    reason: str = ""


def set_password(command: SetPassword, actor: Actor = BAKER, clock: Clock = now) -> KeptPerson:
    """Set it; the person has to sign in anew everywhere, and does not wait for former failed tries any longer.

    Raises NotFound, BadInput (not good enough), NotLetIn (the former one is wrong), TooSoon, NotAllowed.
    """
    person = _whose(command.name, command.former, actor, clock)
    hashed, at = password_hash(command.password, person.name), clock()
    with transaction.atomic():
        changed = people.change_person(person.id, password=hashed)
        patience.forget(f"name:{person.name.casefold()}", at)
        signature = keeping.Signature(actor.name, at, command.reason)
        keeping.write_log(keeping.Done("set password", "person", person.name), signature)
    return changed


def set_pin(command: SetPin, actor: Actor = BAKER, clock: Clock = now) -> KeptPerson:
    """Set it or take it away; the person has to sign in anew everywhere.

    Raises NotFound, BadInput (no PIN, or too easy), NotLetIn (the password is wrong), TooSoon, NotAllowed.
    """
    person = _whose(command.name, command.password, actor, clock)
    hashed, at = pin_hash(command.pin, person.id) if command.pin else "", clock()
    with transaction.atomic():
        changed = people.change_person(person.id, pin=hashed)
        patience.forget(f"pin:{person.id}", at)
        signature = keeping.Signature(actor.name, at, command.reason)
        keeping.write_log(keeping.Done("set PIN" if hashed else "withdraw PIN", "person", person.name), signature)
    return changed


def _whose(name: str, proof: str | None, actor: Actor, clock: Clock) -> KeptPerson:
    """The person; somebody at a page who changes their own secret proves that the page was not just left open."""
    own = actor is not BAKER and name.casefold() == actor.name.casefold()
    require(actor, "own account" if own else "manage people")
    person = find_person(name)
    if own:
        at, subject = clock(), f"name:{person.name.casefold()}"
        counts = patience.count_try({subject: patience.BY_NAME}, at)
        if not matches_password(proof or "", people.secrets_of(person.id)[0]):
            raise NotLetIn("this is not the password that counts now")
        patience.was_right(subject, counts, at)
    return person
