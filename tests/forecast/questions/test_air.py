"""The air: dew points and boiling points as tables have them, sweating and drying as the balance of heat has them."""

from __future__ import annotations

import pytest

from forecast.demo_bakery import asked, formulas, kitchen, pantry
from smallhours.errors import OutOfRange
from smallhours.forecast.conditions import Conditions
from smallhours.forecast.ensemble import draw
from smallhours.forecast.questions import Asked, what_does_the_air_do


def _up(slug: str, altitude_m: float) -> Asked:
    high = kitchen().model_copy(update={"altitude_m": altitude_m})
    return Asked(formulas()[slug], pantry(), Conditions(high), draw(60))


def test_the_dew_point_of_a_proofer() -> None:
    """Published: 27 °C at 80 % have their dew point at 23.25 °C (psychrometric tables, ASHRAE 2017), within 0.1 K."""
    answer = what_does_the_air_do(asked("brioche"), proofer_humidity_percent=80.0)
    dew = answer.number("dew point of the proofer")
    assert dew.median == pytest.approx(23.25, abs=0.1)
    assert dew.high - dew.low == pytest.approx(2.0, abs=0.4)


def test_a_cold_tray_sweats_and_a_warm_one_does_not() -> None:
    """Hand: 3 °C to 23.25 °C are 20 K x 1950 J/(m2 K) = 39.5 kJ/m2; over half of it comes with water of 2.47 kJ/g, so
    8 to 12 g/m2. A tray as warm as the proofer stays dry; a damper proofer wets it more."""
    here = asked("brioche", fridge_c=3.0)
    cold = what_does_the_air_do(here, proofer_humidity_percent=80.0)
    assert cold.look
    assert 39_500 / 2470 * 0.5 < cold.number("water on the tray").median < 39_500 / 2470 * 0.75
    damper = what_does_the_air_do(here, proofer_humidity_percent=90.0)
    assert damper.number("water on the tray").median > cold.number("water on the tray").median
    warm = what_does_the_air_do(here, proofer_humidity_percent=80.0, tray_c=27.0)
    assert warm.number("a tray sweats").median == 0.0
    assert "stays dry" in warm.sentence


def test_dough_skins_over_in_a_dry_room_and_not_in_a_damp_one() -> None:
    """Limit: common practice is 75 % and more; drier air takes more water, and the answer says to cover it."""
    rates = []
    for percent in (25.0, 45.0, 70.0, 95.0):
        answer = what_does_the_air_do(asked("milk-loaf", room_c=24.0), room_humidity_percent=percent)
        rates.append(answer.number("proof in the room: water it gives off").median)
    assert rates == sorted(rates, reverse=True)
    dry = what_does_the_air_do(asked("milk-loaf", room_c=24.0), room_humidity_percent=35.0)
    assert "cover it" in dry.sentence
    assert dry.look
    damp = what_does_the_air_do(asked("milk-loaf", room_c=24.0), room_humidity_percent=90.0)
    assert damp.number("proof in the room: skin dries").median < 0.1


@pytest.mark.parametrize(("altitude_m", "boils_c"), [(0.0, 99.97), (1500.0, 95.05), (2500.0, 91.66)])
def test_water_boils_at_this_height(altitude_m: float, boils_c: float) -> None:
    """Published: standard atmosphere (ISO 2533) with steam tables (IAPWS): 84.56 kPa and 74.69 kPa boil at these."""
    answer = what_does_the_air_do(_up("quay-loaf", altitude_m))
    assert answer.number("water boils at").median == pytest.approx(boils_c, abs=0.1)
    assert answer.look == (altitude_m > 0)
    assert ("out of reach" in answer.sentence) == answer.look


@pytest.mark.parametrize("percent", [-1.0, 0.0, 140.0, float("nan")])
def test_humidity_that_cannot_be(percent: float) -> None:
    """Bad input: none, more than air holds, not a number."""
    with pytest.raises(OutOfRange, match="the humidity of the room must be 5 to 99 %"):
        what_does_the_air_do(asked("brioche"), room_humidity_percent=percent)
    with pytest.raises(OutOfRange, match="the humidity of the proofer must be 5 to 99 %"):
        what_does_the_air_do(asked("brioche"), proofer_humidity_percent=percent)


def test_a_tray_that_cannot_be() -> None:
    """Bad input: a tray of 90 °C does not go into a proofer."""
    with pytest.raises(OutOfRange, match="the tray must be"):
        what_does_the_air_do(asked("brioche"), proofer_humidity_percent=80.0, tray_c=90.0)
