"""Sign in on a shared tablet: a tap on the name, and the PIN."""

from __future__ import annotations

from dataclasses import dataclass, field

from django.db import transaction

from smallhours.actions.clock import Clock, now
from smallhours.actions.people import patience
from smallhours.actions.people.secret import matches_pin
from smallhours.errors import NotLetIn
from smallhours.records import keeping, people
from smallhours.records.people import KeptPerson, KeptTablet

MOST_WRONG_PINS = 20
"""Wrong PINs in a row after which a PIN counts no longer: one in five hundred of the 10 000 shortest ones."""


@dataclass(frozen=True)
class TapIn:
    """Whose name was tapped and which PIN was typed, on which tablet."""

    person_id: int
    tablet: KeptTablet
    pin: str = field(repr=False)


def who_can_tap() -> list[KeptPerson]:
    """Whose names a shared tablet shows: everybody who may sign in and has a PIN."""
    return [person for person in people.people() if person.active and person.has_pin]


def tap_in(command: TapIn, clock: Clock = now) -> KeptPerson:
    """The person, if the PIN is theirs. Raises NotLetIn, TooSoon; after twenty wrong ones in a row the PIN is gone."""
    started = clock()
    subject = f"pin:{command.person_id}"
    counts = patience.count_try({subject: patience.BY_PIN, f"tablet:{command.tablet.id}": patience.BY_TABLET}, started)
    person = people.person_of(command.person_id)
    kept = people.secrets_of(person.id)[1] if person is not None and person.active else ""
    if person is None or not matches_pin(command.pin, person.id, kept):
        if person is not None and person.has_pin and counts[subject] >= MOST_WRONG_PINS:
            signature = keeping.Signature("nobody", started, f"{MOST_WRONG_PINS} wrong PINs in a row")
            with transaction.atomic():
                people.change_person(person.id, pin="")
                details = {"tablet": command.tablet.name}
                keeping.write_log(keeping.Done("withdraw PIN", "person", person.name, details=details), signature)
        raise NotLetIn("name and PIN do not belong together")
    patience.was_right(subject, counts, started)
    return person
