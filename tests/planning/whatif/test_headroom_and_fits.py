"""What a night has left, and what still fits, on nights small enough to be worked out by hand: see ``small_bakery``."""

from __future__ import annotations

import datetime as dt

import pytest

from planning.shift.small_bakery import (
    CHAIN_MIN,
    MADE_AT,
    MIDNIGHT,
    formula,
    kitchen,
    minutes,
    order,
    oven,
    person,
    planned,
)
from planning.whatif.otherwise import given, thinking
from smallhours.errors import BadInput, Impossible
from smallhours.planning.live.replan import replan
from smallhours.planning.plan import Plan
from smallhours.planning.whatif.document import Fit
from smallhours.planning.whatif.fits import Asking, fit
from smallhours.planning.whatif.headroom import headroom

LOAF = formula()
PLACE = kitchen(people=[person("ana", "02:00:00")])


def test_how_much_is_left() -> None:
    """Hand: from 02:00 to 06:00 are 240 min, the chain takes 200: 40 min earlier, not 45, as there are no hands before.
    A deck takes 8, so that two loads (200 + 30 min) fit and three (260) do not: 16 loaves, 12 more than 4; 13 are too
    many, proven."""
    found = headroom(given([LOAF], [order("06:00")], PLACE), made_at=MADE_AT, thinking=thinking(), time_limit_s=60.0)
    assert (found.earlier_s, found.not_earlier_s) == (40 * 60, 45 * 60)
    assert found.holds_up == ("free hands",)
    (more,) = found.more
    assert (more.product, more.pieces, more.too_many, more.proven) == ("loaf", 12, 13, True)
    assert found.loads[0].used_fraction == max(load.used_fraction for load in found.loads) <= 1.0
    assert not found.stopped


def test_what_one_thing_more_brings() -> None:
    """Hand: one tray place in the oven and 210 min: one load of one loaf, so that a second (growing by any share makes
    2 of 1) is 20 min too late; another oven takes it; an hour of hands earlier does too."""
    place = kitchen(people=[person("ana", "02:30:00")], ovens=[oven(places=1)])
    found = headroom(given([LOAF], [order("06:00", 1)], place), made_at=MADE_AT, thinking=thinking(), time_limit_s=90.0)
    grows = {one.sentence: one.grows_percent for one in found.grows}
    assert grows["As it is"] == 0.0
    assert grows["One more of Oven"] == 100.0
    assert grows["Start Ana 1 h earlier (at 01:30)"] == 100.0
    assert grows["One more of Spiral"] == 0.0


def test_a_late_night_has_nothing_left() -> None:
    """Bad input: it says what to ask instead."""
    night = given([LOAF], [order("03:00")], PLACE)
    with pytest.raises(Impossible, match=r"not on time as it is.*smallhours cure"):
        headroom(night, made_at=MADE_AT, thinking=thinking())


@pytest.fixture(scope="module")
def night() -> Plan:
    """Four loaves due at 06:00: mixing from 02:40."""
    return planned([LOAF], [order("06:00")])


def asked(plan: Plan, due: str, now: dt.datetime, pieces: int = 4) -> Fit:
    """Whether so many more loaves fit."""
    asking = Asking("loaf", pieces, dt.time.fromisoformat(due), now)
    return fit(given([LOAF], [order("06:00")]), plan, asking, made_at=MADE_AT, thinking=thinking())


def test_an_order_that_fits_until_its_shortest_stages_do_not(night: Plan) -> None:
    """Hand: four loaves more for 08:00 go in with the others; asked for later they take 200 min of their own, so that
    04:40 is the last time in steps of 5 min; it rests on that chain."""
    found = asked(night, "08:00", MIDNIGHT)
    assert found.fits
    assert found.cut_off == MIDNIGHT + minutes(8 * 60 - CHAIN_MIN)
    assert found.not_at == MIDNIGHT + minutes(8 * 60 - CHAIN_MIN + 5)
    assert "shortest stages" in found.rests_on
    assert found.late_elsewhere == ()


def test_an_order_whose_cut_off_lies_before_its_chain(night: Plan) -> None:
    """Hand: for 07:00 the chain alone would allow 03:40. Begun at 03:35 they would be shaped from 04:45 to 04:55, and
    Ana is to load the first loaves at 04:50; waiting for that they are a minute late. Begun at 03:30 they are shaped
    before."""
    found = asked(night, "07:00", MIDNIGHT)
    assert (found.cut_off, found.not_at) == (MIDNIGHT + minutes(210), MIDNIGHT + minutes(215))
    assert found.rests_on.startswith("plans of the rest of the night")


def test_an_order_that_comes_too_late(night: Plan) -> None:
    """Hand: asked for at 03:50, 200 min end at 07:10: not at 07:00, and no plan has it; it says what it would cost."""
    found = asked(night, "07:00", MIDNIGHT + minutes(230))
    assert not found.fits
    assert found.proven
    assert found.late_s is not None
    assert found.late_s >= 10 * 60
    assert found.cut_off is None


def test_what_is_promised_can_be_replanned(night: Plan) -> None:
    """Behaviour: at its cut-off, the rest of the night planned with the order has it on time and nothing else late."""
    from smallhours.bakery.pantry import Pantry
    from smallhours.bakery.shift.happened import Happened

    found = asked(night, "07:30", MIDNIGHT + minutes(170))
    assert found.cut_off is not None
    extra = {"customer": "Extra", "product": "loaf", "date": night.night, "due": dt.time(7, 30), "pieces": 4}
    happened = Happened.read({"now": found.cut_off, "orders": [extra]}, "what happened")
    after = replan(
        night, happened, {"loaf": LOAF}, kitchen(), Pantry(), made_at=MADE_AT, time_limit_s=4.0, workers=1,
        deterministic=True,
    )  # fmt: skip
    assert [each.late_s for each in after.orders] == [0.0, 0.0]


def test_orders_that_cannot_be_asked_for(night: Plan) -> None:
    """Bad input: due before now, and a night without work."""
    with pytest.raises(BadInput, match="is wanted at 03:00, which is not after 03:10"):
        asked(night, "03:00", MIDNIGHT + minutes(190))
    with pytest.raises(BadInput, match="has no plan with work in it"):
        asked(night.model_copy(update={"tasks": ()}), "07:00", MIDNIGHT)
