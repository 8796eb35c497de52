"""Cooling in a forecast against times of the trade, the published humid air, and what has to hold for any loaf."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from forecast.demo_bakery import asked, formulas
from smallhours.errors import BadInput, OutOfRange
from smallhours.forecast.questions import when_is_it_cool
from smallhours.forecast.stage_forecast import Moment, StageForecast
from smallhours.science.moist_air import dew_point_c

COOLING = sorted(slug for slug, formula in formulas().items() if any(s.kind == "cool" for s in formula.stages))


def _cool(slug: str, members: int = 60, **how: object) -> StageForecast:
    return next(stage for stage in asked(slug, members, **how).forecast().stages if stage.kind == "cool")


def _moments(stage: StageForecast) -> dict[str, Moment]:
    return {moment.name: moment for moment in stage.moments}


@pytest.mark.parametrize("slug", COOLING)
def test_its_own_cooling_comes_out(slug: str) -> None:
    """Limit: as written it takes its own time, in every member, between its own limits."""
    own = next(s for s in formulas()[slug].stages if s.kind == "cool")
    made = _cool(slug, as_written=True)
    assert made.draws["length"] == pytest.approx(np.full(60, made.reference_s))
    assert (made.earliest.median, made.latest.median) == pytest.approx((own.min_s, own.max_s))


@given(st.sampled_from(COOLING), st.floats(2, 33), st.floats(0.5, 12))
@settings(max_examples=25, deadline=None)
def test_a_warmer_room_never_cools_quicker(slug: str, room_c: float, warmer_k: float) -> None:
    """Limit: in a warmer room nothing is cool sooner, in any member: neither the stage nor cut, glaze and pack."""
    cold, warm = (_cool(slug, room_c=c) for c in (room_c, room_c + warmer_k))
    assert (warm.draws["length"] >= cold.draws["length"] - 1e-6).all()
    first, then = _moments(cold), _moments(warm)
    for name in set(first) - {"pack"}:  # the bag lies in that room too: its limit moves with it
        assert then[name].after.median >= first[name].after.median - 1e-6


@given(st.sampled_from(COOLING), st.floats(5, 30), st.floats(1.05, 2.0))
@settings(max_examples=20, deadline=None)
def test_larger_never_cools_quicker(slug: str, room_c: float, larger: float) -> None:
    """Limit: a heavier piece is cut no earlier, and its stage is never shorter."""
    own = formulas()[slug].output
    assert own is not None
    mass_g = own.piece_mass_g or own.baked_mass_g or 1.0
    small, large = (_cool(slug, room_c=room_c, piece_mass_g=m) for m in (mass_g, mass_g * larger))
    assert _moments(large)["cut"].after.median >= _moments(small)["cut"].after.median - 1e-6
    assert (large.draws["length"] >= small.draws["length"] - 1e-6).all()


@pytest.mark.parametrize("slug", COOLING)
def test_never_below_the_formula_s_least(slug: str) -> None:
    """Limit: in the coldest room that is forecast the baker's own least still holds, in every member."""
    own = next(s for s in formulas()[slug].stages if s.kind == "cool")
    made = _cool(slug, room_c=0.0)
    assert (made.draws["length"] >= (own.min_s or 0.0) - 1e-6).all()
    assert made.earliest.low >= (own.min_s or 0.0) - 1e-6


def test_a_tin_loaf_is_cut_when_the_trade_says() -> None:
    """Published: trade pages: up to two hours until a loaf can be sliced, at 35 to 40 °C. A tin loaf of 840 g in 22 °C:
    2 h to 35 °C and 1 h 41 min to 40 °C as median; rolls take a third of that."""
    loaf = [when_is_it_cool(asked("milk-loaf", 500, room_c=22.0), cut_c=c).number("cut") for c in (35.0, 40.0)]
    assert 80 * 60 < loaf[1].median < loaf[0].median < 125 * 60
    assert loaf[0].low < 100 * 60 < 120 * 60 < loaf[0].high
    roll = when_is_it_cool(asked("dinner-roll", 500, room_c=22.0)).number("cut")
    assert roll.median < loaf[0].median / 2.5


def test_at_the_cut_it_is_as_cool_as_that() -> None:
    """Round trip: kept as long as it takes to be cut, half of the members are cooler than that, half are not."""
    cut = _moments(_cool("milk-loaf", room_c=20.0))["cut"]
    kept = _cool("milk-loaf", room_c=20.0, lengths_s={"cool": cut.after.median})
    assert kept.at_end.core.median == pytest.approx(35.0, abs=0.1)


def test_a_bag_stays_clear() -> None:
    """Published: dew point by the equation tested against ASHRAE's tables: bread as warm as it may be packed, with the
    humidity of a dry crust (0.60), has its dew point at the film; a colder film asks for colder bread."""
    answers = [when_is_it_cool(asked("focaccia", 500, room_c=20.0), bag_c=c) for c in (20.0, 18.0)]
    warm, cold = (answer.number("pack, at").median for answer in answers)
    assert float(dew_point_c(warm, 0.60)) == pytest.approx(20.0, abs=0.05)
    assert cold < warm
    assert answers[1].number("pack").median > answers[0].number("pack").median
    fridge = when_is_it_cool(asked("focaccia", room_c=20.0), bag_c=4.0)
    assert "water settles all the same" in fridge.sentence


def test_a_topping_is_what_its_part_holds() -> None:
    """Behaviour: cream cheese melts above 30 °C (table toppings), a lemon and sugar glaze runs off above 40 °C."""
    icing, sugar = (_moments(_cool(slug))["glaze from"].temp.median for slug in ("harbour-bun", "tea-cake"))
    assert (icing, sugar) == (30.0, 40.0)
    window = _moments(_cool("tea-cake"))
    assert window["glaze from"].after.median < window["glaze until"].after.median
    asked_for = when_is_it_cool(asked("harbour-bun", room_c=17.0), topping="chocolate")
    assert asked_for.number("glaze from, at").median == 32.0


def test_a_hot_room_has_to_be_looked_at() -> None:
    """Behaviour: at 38 °C no core comes to 35 °C and no icing holds: the answer says so."""
    answer = when_is_it_cool(asked("harbour-bun", room_c=38.0))
    assert answer.look
    assert "take it to a cooler place" in answer.sentence
    assert "does not hold" in answer.sentence


@pytest.mark.parametrize(
    ("how", "error"),
    [
        ({"cut_c": 5.0}, OutOfRange),
        ({"bag_c": -20.0}, OutOfRange),
        ({"cut_c": math.nan}, OutOfRange),
        ({"topping": "jam"}, BadInput),
    ],
)
def test_what_cannot_be_cool(how: dict[str, object], error: type[Exception]) -> None:
    """Bad input: one clear sentence each."""
    with pytest.raises(error) as caught:
        when_is_it_cool(asked("milk-loaf"), **how)  # type: ignore[arg-type]
    assert str(caught.value).count(". ") == 0


def test_a_formula_that_does_not_cool() -> None:
    """Bad input: a base dough has nothing to cool."""
    with pytest.raises(BadInput, match="no stage in which it cools"):
        when_is_it_cool(asked("egg-dough"))
