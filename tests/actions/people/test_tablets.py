"""Shared tablets: paired with a code, tapped in with a PIN, ended."""

from __future__ import annotations

import datetime as dt
from functools import partial
from pathlib import Path

import pytest

from smallhours.actions.people.change_person import RemovePerson, remove_person
from smallhours.actions.people.set_secret import SetPin, set_pin
from smallhours.actions.people.tablets import (
    AddTablet,
    PairTablet,
    RevokeTablet,
    add_tablet,
    list_tablets,
    pair_tablet,
    revoke_tablet,
    tablet_here,
)
from smallhours.actions.people.tap_in import MOST_WRONG_PINS, TapIn, tap_in, who_can_tap
from smallhours.actions.permissions import Actor
from smallhours.errors import BadInput, NotAllowed, NotFound, NotLetIn, TooSoon
from smallhours.records import people, queries
from smallhours.records.people import KeptTablet

AT = dt.datetime(2026, 1, 15, 3, 0, tzinfo=dt.UTC)
ANA = Actor("Ana", "head-baker")


def _later(**span: float) -> dt.datetime:
    return AT + dt.timedelta(**span)


def _paired(name: str = "By the oven") -> tuple[KeptTablet, str]:
    code = add_tablet(AddTablet(name), ANA, lambda: AT)
    paired = pair_tablet(PairTablet(code.readable), lambda: AT)
    return paired.tablet, paired.token


def test_a_code_pairs_one_tablet_once(staff: Path) -> None:
    """Behaviour: the token of the tablet is known from then on, the code is used up, both are only kept as hashes."""
    from smallhours.records.models import Tablet

    code = add_tablet(AddTablet("By the oven"), ANA, lambda: AT)
    assert list_tablets(ANA, lambda: AT)[0].paired_at is None
    paired = pair_tablet(PairTablet(code.readable.lower()), lambda: _later(minutes=14))
    with pytest.raises(NotLetIn, match="has been used"):
        pair_tablet(PairTablet(code.code), lambda: _later(minutes=14))
    found = tablet_here(paired.token, lambda: _later(hours=3))
    assert found is not None
    assert (found.id, found.name, found.added_by) == (code.tablet.id, "By the oven", "Ana")
    row = repr(Tablet.objects.values().get())
    assert code.code not in row
    assert paired.token not in row


def test_a_code_is_good_for_a_quarter_of_an_hour(staff: Path) -> None:
    """Limit: at 14:59 it pairs, at 15:00 it does not."""
    early, late = (add_tablet(AddTablet(name), ANA, lambda: AT) for name in ("a", "b"))
    assert pair_tablet(PairTablet(early.code, "x"), lambda: _later(minutes=14, seconds=59)).token
    with pytest.raises(NotLetIn, match="too old"):
        pair_tablet(PairTablet(late.code, "x"), lambda: _later(minutes=15))
    assert [tablet.name for tablet in list_tablets(ANA, lambda: _later(minutes=15))] == ["a"]


def test_codes_cannot_be_guessed_by_trying(staff: Path) -> None:
    """Behaviour: the sixth wrong code from one address waits. Hand: of 2^40 codes an address may try no more than 5 + 8
    within the quarter of an hour that a code is good for."""
    for number in range(5):
        with pytest.raises(NotLetIn):
            pair_tablet(PairTablet(f"AAAA-AAA{number + 2}", "192.168.1.9"), lambda: AT)
    with pytest.raises(TooSoon):
        pair_tablet(PairTablet("AAAA-AAAA", "192.168.1.9"), lambda: AT)


def test_last_seen_is_kept_to_the_minute(staff: Path) -> None:
    """Behaviour: a tablet that asks every few seconds is written down once a minute."""
    tablet, token = _paired()
    tablet_here(token, lambda: _later(seconds=30))
    assert people.tablet_of(tablet.id).seen_at == AT  # type: ignore[union-attr]
    tablet_here(token, lambda: _later(seconds=61))
    assert people.tablet_of(tablet.id).seen_at == _later(seconds=61)  # type: ignore[union-attr]


def test_an_ended_tablet_is_a_stranger(staff: Path) -> None:
    """Behaviour: its token counts no longer, nor its code; it leaves the list; ending it again says so."""
    tablet, token = _paired()
    waiting = add_tablet(AddTablet("Another"), ANA, lambda: AT)
    for one in (tablet, waiting.tablet):
        revoke_tablet(RevokeTablet(one.id, "lost"), ANA)
        with pytest.raises(NotFound, match="there is no tablet"):
            revoke_tablet(RevokeTablet(one.id), ANA)
    assert tablet_here(token) is None
    assert list_tablets(ANA, lambda: AT) == []
    with pytest.raises(NotLetIn):
        pair_tablet(PairTablet(waiting.code), lambda: AT)
    assert tablet_here("") is None
    assert [(line.verb, line.slug, line.reason) for line in queries.log_lines(2)] == [
        ("revoke", "Another", "lost"),
        ("revoke", "By the oven", "lost"),
    ]


def test_a_pin_lets_in_who_it_belongs_to(staff: Path) -> None:
    """Behaviour: only who has a PIN is shown; the right one lets in, another person's does not, nor none at all."""
    tablet, _ = _paired()
    assert who_can_tap() == []
    bo, cleo = (set_pin(SetPin(name, pin)) for name, pin in (("Bo", "4711"), ("Cleo", "2580")))
    rita = people.person_named("Rita")
    assert rita is not None
    assert [one.name for one in who_can_tap()] == ["Bo", "Cleo"]
    assert tap_in(TapIn(bo.id, tablet, "4711"), lambda: AT).name == "Bo"
    for person, pin in ((bo.id, "2580"), (cleo.id, "4711"), (rita.id, ""), (999, "4711"), (bo.id, "")):
        with pytest.raises(NotLetIn, match="name and PIN do not belong together"):
            tap_in(TapIn(person, tablet, pin), lambda: AT)
    remove_person(RemovePerson("Bo"))
    assert [one.name for one in who_can_tap()] == ["Cleo"]
    with pytest.raises(NotLetIn):
        tap_in(TapIn(bo.id, tablet, "4711"), lambda: _later(hours=1))


def test_after_twenty_wrong_pins_the_pin_is_gone(staff: Path) -> None:
    """Hand: twenty tries at 10 000 PINs get in with a chance of 0.2 %; then not even the right one does, and the
    log says why. Until then each failure makes the next wait longer."""
    tablet, _ = _paired()
    bo = set_pin(SetPin("Bo", "4711"))
    at_s, waited = 0.0, 0
    wrong = TapIn(bo.id, tablet, "0007")
    for _ in range(MOST_WRONG_PINS):
        with pytest.raises(NotAllowed) as refused:
            tap_in(wrong, partial(_later, seconds=at_s))
        if isinstance(refused.value, TooSoon):
            waited += 1
            at_s += refused.value.wait_s
            with pytest.raises(NotLetIn):
                tap_in(wrong, partial(_later, seconds=at_s))
    assert waited == MOST_WRONG_PINS - 3
    assert at_s > 2 * 3600
    assert who_can_tap() == []
    line = queries.log_lines(1)[0]
    assert (line.verb, line.slug, line.reason) == ("withdraw PIN", "Bo", "20 wrong PINs in a row")


def test_only_head_bakers_pair_and_end(staff: Path) -> None:
    """Bad input: every other role, and a name that is none."""
    for role in ("baker", "office", "reader"):
        actor = Actor("Somebody", role)  # type: ignore[arg-type]
        with pytest.raises(NotAllowed, match="may not pair tablets"):
            add_tablet(AddTablet("T"), actor)
        with pytest.raises(NotAllowed, match="may not pair tablets"):
            list_tablets(actor)
    with pytest.raises(BadInput, match="name of the tablet must not be empty"):
        add_tablet(AddTablet(" "), ANA)
