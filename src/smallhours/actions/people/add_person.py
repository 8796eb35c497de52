"""Give somebody an account."""

from __future__ import annotations

from dataclasses import dataclass, field

from django.db import transaction

from smallhours.actions.clock import Clock, now
from smallhours.actions.people.names import persons_name
from smallhours.actions.people.secret import password_hash
from smallhours.actions.permissions import BAKER, ROLES, Actor, Role, require
from smallhours.errors import BadInput, NotGoodEnough
from smallhours.records import keeping, people
from smallhours.records.people import KeptPerson


@dataclass(frozen=True)
class AddPerson:
    """Who, as what, with which password."""

    name: str
    role: Role
    password: str = field(repr=False)
    reason: str = ""


def add_person(command: AddPerson, actor: Actor = BAKER, clock: Clock = now) -> KeptPerson:
    """Add the person; one of that name who was removed comes back. From the first one on, everybody has to sign in.

    Raises BadInput (name taken or not good, password not good, the first one is no head baker), NotAllowed.
    """
    require(actor, "manage people")
    if command.role not in ROLES:
        raise BadInput(f"role {command.role!r}: there are: {', '.join(ROLES)}")
    name = persons_name(command.name)
    hashed, at = password_hash(command.password, name), clock()
    with transaction.atomic():
        former = people.person_named(name)
        if former is not None and former.active:
            sentence = f"there already is a person named {former.name!r}; take another name, or change that one"
            raise NotGoodEnough(["name_taken"], sentence)
        if command.role != "head-baker" and not any(p.active and p.role == "head-baker" for p in people.people()):
            sentence = "the first account has to be a head baker's, because only a head baker may add others"
            raise NotGoodEnough(["first_head"], sentence)
        if former is None:
            person = people.add_person(name, command.role, hashed, at)
        else:
            person = people.change_person(
                former.id, name=name, role=command.role, password=hashed, pin="", is_active=True
            )
        done = keeping.Done("add", "person", name, details={"role": command.role})
        keeping.write_log(done, keeping.Signature(actor.name, at, command.reason))
    return person
