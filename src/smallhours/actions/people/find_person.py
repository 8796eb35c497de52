"""Who has an account."""

from __future__ import annotations

import difflib

from smallhours.actions.people.names import proper_name
from smallhours.actions.permissions import BAKER, Actor, require
from smallhours.errors import NotFound
from smallhours.records import people
from smallhours.records.people import KeptPerson


def list_people(actor: Actor = BAKER) -> list[KeptPerson]:
    """Everybody who may sign in, by name. Raises NotAllowed."""
    require(actor, "manage people")
    return [person for person in people.people() if person.active]


def find_person(name: str) -> KeptPerson:
    """The person of a name who may sign in. Raises NotFound (with near spellings)."""
    person = people.person_named(proper_name(name))
    if person is not None and person.active:
        return person
    known = [one.name for one in people.people() if one.active]
    near = difflib.get_close_matches(name, known, n=3, cutoff=0.5)
    if near:
        hint = "did you mean " + " or ".join(repr(one) for one in near) + "?"
    else:
        hint = "there are: " + ", ".join(known) if known else "nobody has an account yet"
    raise NotFound(f"there is no person named {name!r}; {hint}")
