"""Dough temperature: the sum rule, friction, ice and the heat balance."""

from __future__ import annotations

import math

import pytest

from smallhours.errors import BadInput, Impossible, OutOfRange
from smallhours.science.dough_temperature import (
    Ice,
    Melting,
    Portion,
    dough_temp_c,
    friction_by_rule_k,
    ice_for_dough_g,
    ice_for_water_g,
    liquid_temp_c,
    mixing_rise_k,
    rise_from_friction_k,
    rise_from_work_k,
    water_temp_by_base_c,
    water_temp_by_rule_c,
)
from smallhours.science.units import (
    G_PER_LB,
    J_PER_BTU,
    difference_k_from_fahrenheit,
    fahrenheit_number,
    temp_c_from_fahrenheit,
)

FLOUR = Portion(1000.0, 1.8, 20.0)
WATER = Portion(620.0, 4.18, 18.0)
TRADE_ICE = Ice(latent_heat_j_per_g=80 * 4.186)
"""The trade reckons melting as 80 K of water."""


@pytest.mark.parametrize("name", ["ddt-1", "ddt-2", "ddt-3", "ddt-4", "ddt-8"])
def test_rule_in_fahrenheit(example, name):
    """Published: water temperatures of five worked examples (sources in the data file); printed to whole degrees."""
    e = example(name)
    given = e["inputs"]
    known = [temp_c_from_fahrenheit(given[k]) for k in ("flour", "room", "pref") if k in given]
    friction = difference_k_from_fahrenheit(given["friction"])
    found = water_temp_by_rule_c(temp_c_from_fahrenheit(given["ddt"]), known, friction)
    assert fahrenheit_number(found) == pytest.approx(e["expect"], abs=1e-9)


@pytest.mark.parametrize("name", ["ddt-5", "ddt-7", "ddt-9"])
def test_rule_in_celsius(example, name):
    """Published: a British two-temperature rule (29 °C, flour 20 -> 38), and two worked by hand; 4 digits."""
    e = example(name)
    given = e["inputs"]
    known = [given[k] for k in ("flour", "room", "pref") if k in given]
    found = water_temp_by_rule_c(given["ddt"], known, given.get("friction", 0.0))
    assert found == pytest.approx(e["expect"], abs=1e-4)


def test_base_temperature(example):
    """Published: brioche with base 200 °F, room 73, flour 68 -> milk 59 °F; the base is a sum of three temperatures."""
    e = example("ddt-6")
    given = e["inputs"]
    known = [temp_c_from_fahrenheit(given["flour"]), temp_c_from_fahrenheit(given["room"])]
    found = water_temp_by_base_c((given["base"] - 3 * 32) / 1.8, known)
    assert fahrenheit_number(found) == pytest.approx(e["expect"], abs=1e-9)


def test_third_published_rule():
    """Published: 3 x 78 - (60 + 70 + 16) = 88 °F, pizza makers' forum quoting a how-to, friction 2 °F per minute."""
    known = [temp_c_from_fahrenheit(60.0), temp_c_from_fahrenheit(70.0)]
    found = water_temp_by_rule_c(temp_c_from_fahrenheit(78.0), known, difference_k_from_fahrenheit(16.0))
    assert fahrenheit_number(found) == pytest.approx(88.0, abs=1e-9)


def test_friction_from_a_log(example):
    """Hand: 3 x 82 - (75 + 65 + 65) = 41 °F and 3 x 26.5 - (19 + 18 + 22) = 20.5 K."""
    given = example("ff-1")["inputs"]
    temps = [temp_c_from_fahrenheit(given[k]) for k in ("room", "flour", "water")]
    friction = friction_by_rule_k(temp_c_from_fahrenheit(given["actual"]), temps)
    assert friction * 1.8 == pytest.approx(example("ff-1")["expect"], abs=1e-9)
    given = example("ff-2")["inputs"]
    found = friction_by_rule_k(given["actual"], [given[k] for k in ("room", "flour", "water")])
    assert found == pytest.approx(example("ff-2")["expect"], abs=1e-9)


def test_friction_and_water_undo_each_other():
    """Round trip: water by the rule with the friction that a log gave is the water of that log."""
    friction = friction_by_rule_k(26.5, [19.0, 18.0, 22.0])
    assert water_temp_by_rule_c(26.5, [19.0, 18.0], friction) == pytest.approx(22.0, abs=1e-12)


def test_friction_is_a_multiple_of_the_rise():
    """Hand: 24 °F with three temperatures stands for a rise of 8 °F, a difference of 8 / 1.8 K."""
    assert rise_from_friction_k(difference_k_from_fahrenheit(24.0), 3) * 1.8 == pytest.approx(8.0)


@pytest.mark.parametrize(("name", "key"), [("ice-1", "water"), ("ice-3", "water")])
def test_ice_in_celsius(example, name, key):
    """Published: heat balance 40 kg 20 -> 10 °C is 4.003 kg (the article's own 4.4 kg would give 9.0 °C); 2.042 kg for
    a wanted -2 °C. The examples take 79.93 and 80 K for melting, we 79.68: within 0.4 %."""
    e = example(name)
    given = e["inputs"]
    expected = e["expect"]["exact"] if isinstance(e["expect"], dict) else e["expect"]
    found = ice_for_water_g(given[key] * 1000.0, given["tap"], given["want"])
    assert found / 1000.0 == pytest.approx(expected, rel=4e-3)


def test_ice_by_the_rule_of_the_trade(example):
    """Published: 100 lb from 75 to 45 °F take W x difference / (tap + 112) = 16.043 lb, melting taken as 80 K.

    The example for -2 °C takes 79.93 K: 2.042 against 2.041 kg."""
    e = example("ice-2")
    given = e["inputs"]
    tap, want = temp_c_from_fahrenheit(given["tap"]), temp_c_from_fahrenheit(given["want"])
    found = ice_for_water_g(given["water_lb"] * G_PER_LB, tap, want, TRADE_ICE) / G_PER_LB
    assert found == pytest.approx(e["expect"], rel=1e-4)
    assert ice_for_water_g(10_000.0, 18.0, -2.0, TRADE_ICE) / 1000.0 == pytest.approx(2.042, abs=1.5e-3)


def test_the_published_ice_was_too_much(example):
    """Hand: 4.4 kg of ice in 40 kg: (35.6 x 20 - 4.4 x 79.68) / 40 = 9.03 °C, not the 10 °C that was wanted."""
    e = example("ice-1")["expect"]
    water = Portion(35_600.0, 4.186, 20.0)
    found = dough_temp_c([water], ice=Ice(4400.0))
    assert found == pytest.approx(9.035, abs=2e-3)
    assert found == pytest.approx(e["published_gives_C"], abs=0.05)


def test_cooling_of_ice(example):
    """Published: 350 lb of ice take 50,400 BTU, 4.2 tons of refrigeration (trade journal, 144 BTU/lb; ours 143.4)."""
    heat_btu = example("ice-4")["inputs"]["lb"] * G_PER_LB * Ice().latent_heat_j_per_g / J_PER_BTU
    assert heat_btu == pytest.approx(example("ice-4")["expect"], rel=5e-3)
    assert heat_btu / 12_000.0 == pytest.approx(example("ice-5")["expect"], rel=5e-3)


def test_heat_balance_by_hand():
    """Hand: flour 1000 x 1.8 x 5 = 9000 J to 25 °C; rise 6 x (1800 + 2591.6) = 26350 J; water 25 - 17350 / 2591.6."""
    found = liquid_temp_c(25.0, [WATER], [FLOUR], mixing_rise_k=6.0)
    assert found == pytest.approx(25.0 - (26349.6 - 9000.0) / 2591.6, abs=1e-9)
    assert found == pytest.approx(18.3, abs=0.05)
    cold_flour = Portion(1000.0, 1.8, 10.0)
    assert liquid_temp_c(25.0, [WATER], [cold_flour], mixing_rise_k=6.0) == pytest.approx(25.25, abs=0.01)


def test_dough_and_liquid_undo_each_other():
    """Round trip: pouring the liquids at the temperature that was found gives the target, bowl and ice included."""
    others = [FLOUR, Portion(8000.0, 0.5, 15.0), Portion(100.0, 3.3, 6.0)]
    ice = Ice(60.0, -6.0)
    temp = liquid_temp_c(24.0, [WATER, Portion(200.0, 3.9, 4.0)], others, 5.0, ice)
    poured = [Portion(620.0, 4.18, temp), Portion(200.0, 3.9, temp)]
    assert dough_temp_c([*poured, *others], 5.0, ice) == pytest.approx(24.0, abs=1e-9)


def test_ice_for_dough_gives_the_target():
    """Round trip: replacing that much of the water by ice gives the target."""
    warm_flour = Portion(1000.0, 1.8, 32.0)
    ice = ice_for_dough_g(24.0, WATER, [warm_flour], mixing_rise_k=9.0, ice=Ice(0.0, -5.0))
    assert 0.0 < ice < WATER.mass_g
    poured = Portion(WATER.mass_g - ice, WATER.specific_heat_j_per_g_k, WATER.temp_c)
    found = dough_temp_c([poured, warm_flour], 9.0, Ice(ice, -5.0))
    assert found == pytest.approx(24.0, abs=0.05)  # the rise also warms melted ice, 4.186 against this water's 4.18


def test_no_ice_when_the_dough_is_cold_enough():
    """Limit: everything colder than the target and no mixing heat needs no ice."""
    assert ice_for_dough_g(25.0, WATER, [FLOUR]) == 0.0


def test_everything_at_target_stays():
    """Limit: all at target and a mixer that adds no heat: pour at target, and the dough is at target."""
    even = [Portion(1000.0, 1.8, 24.0), Portion(600.0, 4.18, 24.0)]
    assert dough_temp_c(even) == pytest.approx(24.0, abs=1e-12)
    assert liquid_temp_c(24.0, even[1:], even[:1]) == pytest.approx(24.0, abs=1e-12)


def test_rise_from_a_log():
    """Round trip: the rise that a measured dough gives predicts that dough, melting butter included."""
    butter = Portion(300.0, 2.3, 12.0, Melting(0.81, 100.0, ((10.0, 0.4), (20.0, 0.18), (30.0, 0.05))))
    portions = [FLOUR, WATER, butter]
    rise = mixing_rise_k(26.0, portions, Ice(50.0))
    assert dough_temp_c(portions, rise, Ice(50.0)) == pytest.approx(26.0, abs=1e-6)


def test_melting_butter_cools_a_rich_dough():
    """Published: physics of butter (melting 29 kJ/kg from 5 to 24 °C) cools a 50 % butter dough 2.6 to 3 K more.

    Hand: 0.82 x 100 x (0.50 - 0.116) = 31 J per g of butter; 500 g of it over 5.3 kJ/K of dough is 3 K.
    """
    solid = ((0.0, 0.60), (5.0, 0.50), (10.0, 0.40), (15.0, 0.28), (20.0, 0.18), (25.0, 0.10), (30.0, 0.05))
    rest = [Portion(1000.0, 1.8, 22.0), Portion(600.0, 3.7, 40.0), Portion(120.0, 1.25, 22.0)]
    plain = dough_temp_c([*rest, Portion(500.0, 2.3, 5.0)])
    melting = dough_temp_c([*rest, Portion(500.0, 2.3, 5.0, Melting(0.82, 100.0, solid))])
    assert 2.3 < plain - melting < 3.2


def test_work_of_mixing():
    """Hand: 11 Wh/kg = 39.6 J/g, over 2.8 J/(g K) is 14.1 K; 1.5 kW for 8 min on 20 kg is 36 J/g, 12.9 K."""
    assert rise_from_work_k(11.0, 2.8) == pytest.approx(39.6 / 2.8)
    assert rise_from_work_k(1500.0 * 8 / 60 / 20.0, 2.8) == pytest.approx(12.86, abs=0.01)


def test_ice_can_be_too_little():
    """Bad input: even all water as ice does not cool a hot dough enough; the message says what would."""
    with pytest.raises(Impossible, match="chill the flour"):
        ice_for_dough_g(5.0, Portion(100.0, 4.186, 10.0), [Portion(1000.0, 1.8, 35.0)], 10.0)
    with pytest.raises(Impossible, match="would not all melt"):
        dough_temp_c([Portion(100.0, 1.8, 5.0)], ice=Ice(500.0))


@pytest.mark.parametrize("bad", [math.nan, math.inf, -300.0])
def test_nonsense_is_refused(bad):
    """Bad input: NaN, infinity and impossible temperatures are out of range in every argument."""
    with pytest.raises(OutOfRange):
        water_temp_by_rule_c(bad, [20.0])
    with pytest.raises(OutOfRange):
        water_temp_by_rule_c(25.0, [bad])
    with pytest.raises(OutOfRange):
        Portion(100.0, 4.0, bad)
    with pytest.raises(OutOfRange):
        Portion(bad, 4.0, 20.0)
    with pytest.raises(OutOfRange):
        dough_temp_c([FLOUR], mixing_rise_k=bad)


def test_nothing_to_mix_is_refused():
    """Bad input: an empty bowl, no liquid, and a melting curve that rises."""
    with pytest.raises(BadInput):
        dough_temp_c([])
    with pytest.raises(BadInput):
        liquid_temp_c(25.0, [], [FLOUR])
    with pytest.raises(BadInput):
        Melting(0.8, 100.0, ((0.0, 0.1), (10.0, 0.4)))
