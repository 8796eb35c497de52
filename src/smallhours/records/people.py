"""People, tablets and failed tries: the reads and writes that their actions need. Writes want a transaction."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import smallhours.records.configured  # noqa: F401  (before the first model)
from smallhours.records.models import FailedTries, Person, Tablet


@dataclass(frozen=True)
class KeptPerson:
    """A person as others see it: no secret, only whether there is one."""

    id: int
    name: str
    role: str
    active: bool
    has_pin: bool
    stamp: int
    added_at: dt.datetime
    last_in: dt.datetime | None


@dataclass(frozen=True)
class KeptTablet:
    """A tablet as others see it. ``paired_at`` is None until it has used its code; ``revoked_at`` ends it."""

    id: int
    name: str
    added_by: str
    code_until: dt.datetime | None
    paired_at: dt.datetime | None
    seen_at: dt.datetime | None
    revoked_at: dt.datetime | None


def any_person() -> bool:
    """Whether there has ever been an account: from then on everybody signs in."""
    return Person.objects.exists()


def people() -> list[KeptPerson]:
    """Everybody, by name; also those who have been removed."""
    return [_kept(row) for row in Person.objects.all()]


def person_named(name: str) -> KeptPerson | None:
    """The person of a name, however it is capitalised."""
    row = Person.objects.filter(key=name.casefold()).first()
    return None if row is None else _kept(row)


def person_of(person_id: int) -> KeptPerson | None:
    """The person of an id."""
    row = Person.objects.filter(pk=person_id).first()
    return None if row is None else _kept(row)


def secrets_of(person_id: int) -> tuple[str, str]:
    """The hashes of a person's password and PIN; only for comparing."""
    row = Person.objects.only("password", "pin").get(pk=person_id)
    return row.password, row.pin


def add_person(name: str, role: str, password_hash: str, at: dt.datetime) -> KeptPerson:
    """Write a new person."""
    row = Person.objects.create(name=name, key=name.casefold(), role=role, password=password_hash, added_at=at)
    return _kept(row)


def change_person(person_id: int, **fields: object) -> KeptPerson:
    """Change fields of a person (``name``, ``role``, ``password``, ``pin``, ``is_active``, ``added_at``); whoever is
    signed in as this person has to do so anew."""
    row = Person.objects.select_for_update().get(pk=person_id)
    for field, value in fields.items():
        setattr(row, field, value)
    row.stamp += 1
    row.save()
    return _kept(row)


def _kept(row: Person) -> KeptPerson:
    return KeptPerson(
        row.pk, row.name, row.role, row.is_active, bool(row.pin), row.stamp, row.added_at, row.last_login
    )  # fmt: skip


def add_tablet(name: str, code_hash: str, code_until: dt.datetime, at: dt.datetime, author: str) -> KeptTablet:
    """Write a tablet that may be paired with a code."""
    row = Tablet.objects.create(name=name, code=code_hash, code_until=code_until, added_at=at, added_by=author)
    return _tablet(row)


def tablets() -> list[KeptTablet]:
    """All tablets, in the order they were added; also those that were revoked."""
    return [_tablet(row) for row in Tablet.objects.all()]


def tablet_of(tablet_id: int) -> KeptTablet | None:
    """The tablet of an id."""
    row = Tablet.objects.filter(pk=tablet_id).first()
    return None if row is None else _tablet(row)


def tablet_with_token(token_hash: str) -> KeptTablet | None:
    """The tablet that holds a token, if it may still be used."""
    row = Tablet.objects.filter(token=token_hash, revoked_at=None).first()
    return None if row is None else _tablet(row)


def take_code(code_hash: str, token_hash: str, at: dt.datetime) -> KeptTablet | None:
    """Pair the tablet whose code this is, once: the code is gone, the token is its key from now on."""
    row = Tablet.objects.select_for_update().filter(code=code_hash, code_until__gt=at, revoked_at=None).first()
    if row is None:
        return None
    row.code, row.token, row.paired_at, row.seen_at = None, token_hash, at, at
    row.save()
    return _tablet(row)


def saw_tablet(tablet_id: int, at: dt.datetime) -> None:
    """Remember when a tablet asked last."""
    Tablet.objects.filter(pk=tablet_id).update(seen_at=at)


def revoke_tablet(tablet_id: int, at: dt.datetime) -> None:
    """End a tablet: neither its code nor its token counts any longer."""
    Tablet.objects.filter(pk=tablet_id).update(code=None, token=None, revoked_at=at)


def _tablet(row: Tablet) -> KeptTablet:
    return KeptTablet(
        row.pk, row.name, row.added_by, row.code_until, row.paired_at, row.seen_at, row.revoked_at
    )  # fmt: skip


def failed_tries(subjects: Iterable[str]) -> Mapping[str, tuple[int, dt.datetime]]:
    """How often in a row, and when last, by subject; what never failed is not in it."""
    rows = FailedTries.objects.select_for_update().filter(subject__in=list(subjects))
    return {row.subject: (row.count, row.last_at) for row in rows}


def keep_tries(subject: str, count: int, at: dt.datetime) -> None:
    """Write how often something has failed; 0 forgets it."""
    if count:
        FailedTries.objects.update_or_create(subject=subject, defaults={"count": count, "last_at": at})
    else:
        FailedTries.objects.filter(subject=subject).delete()


def forget_tries_before(at: dt.datetime) -> None:
    """Forget what failed longer ago."""
    FailedTries.objects.filter(last_at__lt=at).delete()
