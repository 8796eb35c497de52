"""Sign in with name and password."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass, field

from smallhours.actions.clock import Clock, now
from smallhours.actions.people import patience
from smallhours.actions.people.secret import matches_password
from smallhours.errors import NotLetIn
from smallhours.records import keeping, people
from smallhours.records.people import KeptPerson


@dataclass(frozen=True)
class SignIn:
    """``address``: where the question comes from (an IP address)."""

    name: str
    password: str = field(repr=False)
    address: str = ""


def sign_in(command: SignIn, clock: Clock = now) -> KeptPerson:
    """The person, if name and password belong together.

    Raises NotLetIn, the same for a name that is not there; TooSoon after too many tries.
    """
    started = clock()
    name = " ".join(unicodedata.normalize("NFKC", command.name).split())[:200].casefold()
    by_name = f"name:{name}"
    counts = patience.count_try({by_name: patience.BY_NAME, f"from:{command.address}": patience.BY_ADDRESS}, started)
    person = people.person_named(name)
    kept = people.secrets_of(person.id)[0] if person is not None and person.active else None
    right = matches_password(command.password, kept)  # also for a name nobody has, so that it takes as long
    if person is None or not right:
        # a name that nobody has may be a password in the wrong field: it is not written down
        if person is not None and counts[by_name] == patience.BY_NAME:
            details = {"address": command.address, "failed": counts[by_name]}
            done = keeping.Done("keep out", "person", person.name, details=details)
            keeping.write_log(done, keeping.Signature("nobody", started))
        raise NotLetIn("name and password do not belong together")
    patience.was_right(by_name, counts, started)
    return person
