"""Change a person's role, or take the account away."""

from __future__ import annotations

from dataclasses import dataclass

from django.db import transaction

from smallhours.actions.clock import Clock, now
from smallhours.actions.people.find_person import find_person
from smallhours.actions.permissions import BAKER, ROLES, Actor, Role, require
from smallhours.errors import BadInput, NotGoodEnough
from smallhours.records import keeping, people
from smallhours.records.people import KeptPerson


@dataclass(frozen=True)
class ChangeRole:
    """Who is what from now on."""

    name: str
    role: Role
    reason: str = ""


@dataclass(frozen=True)
class RemovePerson:
    """Whose account ends."""

    name: str
    reason: str = ""


def change_role(command: ChangeRole, actor: Actor = BAKER, clock: Clock = now) -> KeptPerson:
    """Change the role; the person has to sign in anew. Raises NotFound, BadInput (the last head baker), NotAllowed."""
    require(actor, "manage people")
    if command.role not in ROLES:
        raise BadInput(f"role {command.role!r}: there are: {', '.join(ROLES)}")
    with transaction.atomic():
        person = find_person(command.name)
        if command.role != "head-baker":
            _not_the_last(person)
        changed = people.change_person(person.id, role=command.role)
        done = keeping.Done("change role", "person", person.name, details={"from": person.role, "to": command.role})
        keeping.write_log(done, keeping.Signature(actor.name, clock(), command.reason))
    return changed


def remove_person(command: RemovePerson, actor: Actor = BAKER, clock: Clock = now) -> KeptPerson:
    """End the account at once, also where the person is signed in; the log keeps the name.

    Raises NotFound, BadInput (the last head baker), NotAllowed.
    """
    require(actor, "manage people")
    with transaction.atomic():
        person = find_person(command.name)
        _not_the_last(person)
        removed = people.change_person(person.id, is_active=False, pin="")
        done = keeping.Done("remove", "person", person.name)
        keeping.write_log(done, keeping.Signature(actor.name, clock(), command.reason))
    return removed


def _not_the_last(person: KeptPerson) -> None:
    heads = [one for one in people.people() if one.active and one.role == "head-baker"]
    if [one.id for one in heads] == [person.id]:
        sentence = f"{person.name} is the last head baker; make somebody else one first"
        raise NotGoodEnough(["last_head"], sentence)
